package track

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"cuewright/cues/phrase"
	"cuewright/plan"
	"cuewright/plan/class"
)

// TestParts: any stretch of a track holds the very samples of the whole there, and
// its markers, led by what it is in the middle of.
func TestParts(t *testing.T) {
	const text = `class: Parts
units: km/h
track: {rate: 44100, bits: 24, channels: 2, silence: noise}
calls: {opening: 9s, closing: 2s}
main:
  - {speed: 8, cadence: 170, for: 20s}
  - {speed: 9, for: 15s}
`
	p, problems := plan.Read("x.yaml", []byte(text))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	c, _ := class.Unfold(p)
	s := demoSpeaker(t, p.Track)
	whole := New(s.Schedule(c, phrase.English()), s, WAV, nil)
	dir := t.TempDir()
	write := func(t fataler, track *Track) file {
		path := filepath.Join(dir, "x.wav")
		f, err := os.Create(path)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		if err := track.Write(context.Background(), f, nil); err != nil {
			t.Fatal(err)
		}
		return readFile(t, path)
	}
	all := write(t, whole)
	rapid.Check(t, func(t *rapid.T) {
		from := time.Duration(rapid.IntRange(-12_000, 36_999).Draw(t, "from")) * time.Millisecond
		to := from + time.Duration(rapid.IntRange(1, 40_000).Draw(t, "for"))*time.Millisecond
		part, err := whole.Part(from, to)
		if to <= -9*time.Second {
			if err == nil {
				t.Fatal("a part before the track")
			}
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		got := write(t, part)
		first, last := nearest(max(from+9*time.Second, 0), 44100), min(nearest(to+9*time.Second, 44100), len(all.samples))
		if !slices.Equal(got.samples, all.samples[first:last]) {
			t.Fatalf("%d samples from frame %d on, want %d, or others", len(got.samples), first, last-first)
		}
		want, before := map[uint32]string{}, 0
		for frame, label := range all.marks {
			if int(frame) <= first && int(frame) >= before {
				before, want[0] = int(frame), label
			}
		}
		for frame, label := range all.marks {
			if int(frame) > first && int(frame) < last {
				want[frame-uint32(first)] = label
			}
		}
		if fmt.Sprint(got.marks) != fmt.Sprint(want) {
			t.Fatalf("markers %v, want %v", got.marks, want)
		}
	})
	if _, err := whole.Part(40*time.Second, 50*time.Second); err == nil {
		t.Error("a part behind the track")
	}
	same, err := whole.Part(-time.Hour, time.Hour)
	if err != nil || same.Frames != whole.Frames || same.title() != "Parts" {
		t.Errorf("the whole as a part: %d frames, %q, %v", same.Frames, same.title(), err)
	}
}
