package review

import (
	"context"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"cuewright/audio"
	"cuewright/audio/faults"
	"cuewright/audio/flac/flacread"
	"cuewright/audio/speech/speechtest"
	"cuewright/audio/voice"
)

// recorded is a recording of the demo voice.
func recorded(t *testing.T, text string) ([]float64, audio.Rate) {
	data, err := os.ReadFile("../../samples/voice/" + text + ".flac")
	if err != nil {
		t.Fatal(err)
	}
	clip, err := flacread.Decode(data)
	if err != nil || clip.Channels != 1 {
		t.Fatal(clip.Channels, err)
	}
	x := make([]float64, len(clip.Samples))
	for i, v := range clip.Samples {
		x[i] = float64(v)
	}
	return x, clip.Rate
}

// TestVoice judges a folder: every file is in the report, sorted, with what only
// its companions tell.
func TestVoice(t *testing.T) {
	file := func(text string, change func(x float64) float64) *fstest.MapFile {
		x, rate := recorded(t, text)
		for i := range x {
			x[i] = change(x[i])
		}
		return &fstest.MapFile{Data: speechtest.WAV(rate, x)}
	}
	same := func(x float64) float64 { return x }
	left, rate := recorded(t, "one")
	folder := fstest.MapFS{
		"speed.wav": file("speed", same), "speed.2.wav": file("speed", func(x float64) float64 { return x / 5 }),
		"incline.wav": file("incline", same), "bananas.wav": file("three", same), "go-5.wav": file("five", same),
		"to.wav":   file("to", func(x float64) float64 { return max(-0.05, min(0.05, x)) }),
		"left.wav": {Data: []byte("no sound")}, "phone.m4a": {Data: []byte("…")},
		"one.wav": {Data: speechtest.WAV(rate, left, make([]float64, len(left)))},
	}
	cut := file("two", same)
	cut.Data = cut.Data[:len(cut.Data)-1000] // of the silence after the word
	folder["two.wav"] = cut
	v, err := voice.Open(folder, voice.Options{Rate: 48000})
	if err != nil {
		t.Fatal(err)
	}
	vocabulary := map[string]bool{"speed": true, "incline": true, "go": true, "to": true, "left": true, "one": true, "two": true}
	reports, err := Voice(context.Background(), v, vocabulary)
	if err != nil {
		t.Fatal(err)
	}
	found := map[string]string{}
	var files []string
	for _, r := range reports {
		files = append(files, r.File)
		for _, f := range r.Faults {
			if f.Advice == "" || f.Severity != faults.Error && f.Severity != faults.Warning {
				t.Errorf("%s: %+v", r.File, f)
			}
			found[r.File] += fmt.Sprintf("%s %s; ", f.Severity, f.Kind)
		}
	}
	if !slices.IsSorted(files) || len(files) != len(folder) {
		t.Errorf("reports on %v", files)
	}
	for file, want := range map[string]string{
		"speed.wav": "", "incline.wav": "", "speed.2.wav": "warning uneven-takes; ", "bananas.wav": "warning unused; ", "go-5.wav": "warning unused; ",
		"to.wav": "error clipped; ", "left.wav": "error unreadable; ", "phone.m4a": "error unreadable; ", "one.wav": "warning dead-side; ", "two.wav": "warning damaged; ",
	} {
		if found[file] != want && !(strings.Contains(found[file], want) && want != "") {
			t.Errorf("%s: %q, want %q", file, found[file], want)
		}
	}
	cancelled, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Voice(cancelled, v, nil); err == nil {
		t.Error("a cancelled check ends well")
	}
}
