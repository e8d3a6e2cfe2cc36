package bed

import (
	"context"
	"encoding/binary"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"cuewright/audio"
	"cuewright/audio/wav"
)

const rate audio.Rate = 8000

// write makes a WAV file of 24 bits of a signal for each channel.
func write(t *testing.T, rate audio.Rate, frames int, channels ...func(i int) float64) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "music.wav")
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	w, err := wav.NewWriter(f, wav.Format{FileInfo: audio.FileInfo{Rate: rate, Channels: len(channels), Bits: 24, Frames: int64(frames)}})
	if err != nil {
		t.Fatal(err)
	}
	var raw []byte
	for i := range frames {
		for _, c := range channels {
			raw = append(raw, binary.LittleEndian.AppendUint32(nil, uint32(int32(math.Round(c(i)*(1<<23)))))[:3]...)
		}
	}
	if _, err := w.Write(raw); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return path
}

// steps is a signal that tells each frame from its neighbours, exact in 24 bits.
func steps(i int) float64 { return float64(i%199)/256 - 0.4 }

func prepare(t *testing.T, path string, rate audio.Rate, frames int64) *Bed {
	t.Helper()
	b, err := Prepare(t.Context(), path, rate, frames, t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { b.Close() })
	return b
}

func read(t *testing.T, b *Bed, at, frames int64) []float32 {
	t.Helper()
	out := make([]float32, frames)
	if err := b.Read(out, at); err != nil {
		t.Fatal(err)
	}
	return out
}

// TestLongMusic: music that is as long as the class is taken as it is, to the end,
// and no further.
func TestLongMusic(t *testing.T) {
	for _, more := range []int{0, 1, 5000} {
		const frames = 20_000
		b := prepare(t, write(t, rate, frames+more, steps), rate, frames)
		if b.Frames != frames {
			t.Errorf("%d frames, want %d", b.Frames, frames)
		}
		for i, x := range read(t, b, 0, frames) {
			if want := steps(i); math.Abs(float64(x)-want) > 1e-6 {
				t.Fatalf("frame %d: %v, want %v", i, x, want)
			}
		}
	}
}

// TestRepeatedMusic: every round begins a cross-fade before the one before it ends;
// between them the music is untouched, and the shares of both have a power of one.
func TestRepeatedMusic(t *testing.T) {
	if testing.Short() {
		t.Skip("measures, which the race detector makes ten times as slow")
	}
	frames := int(rate.Frame(13 * time.Second))
	cross := int(rate.Frame(Crossfade))
	b := prepare(t, write(t, rate, frames, steps), rate, int64(7*frames))
	got := read(t, b, 0, int64(6*frames))
	period := frames - cross
	for f, x := range got {
		round := f / period
		into := f - round*period
		want := steps(into)
		if into < cross && round > 0 {
			share := (float64(into) + 0.5) / float64(cross) * math.Pi / 2
			want = want*math.Sin(share) + steps(into+period)*math.Cos(share)
		}
		if math.Abs(float64(x)-want) > 1e-6 {
			t.Fatalf("frame %d (round %d, %d frames into it): %v, want %v", f, round, into, x, want)
		}
	}
	rng := rand.New(rand.NewPCG(1, 1))
	for range 200 {
		at := rng.IntN(len(got))
		n := rng.IntN(min(len(got)-at, 3*frames)) + 1
		for i, x := range read(t, b, int64(at), int64(n)) {
			if x != got[at+i] {
				t.Fatalf("read from %d, frame %d is %v, want %v", at, at+i, x, got[at+i])
			}
		}
	}
}

// TestLevelAndRate: stereo at another rate is mixed down and measured. 997 Hz at an
// amplitude of -20 dB on both sides is -20 LUFS (EBU Tech 3341, case 1).
func TestLevelAndRate(t *testing.T) {
	tone := func(i int) float64 { return 0.1 * math.Sin(2*math.Pi*997*float64(i)/44100) }
	silent := func(int) float64 { return 0 }
	frames := int64(48000 * 14)
	for name, c := range map[string]struct {
		channels []func(int) float64
		want     float64
	}{
		"both sides": {[]func(int) float64{tone, tone}, -20},
		"mono":       {[]func(int) float64{tone}, -20},
		"one side":   {[]func(int) float64{tone, silent}, -26.02},
	} {
		b := prepare(t, write(t, 44100, 44100*15, c.channels...), 48000, frames)
		if math.Abs(b.Loudness-c.want) > 0.05 {
			t.Errorf("%s: %.2f LUFS, want %.2f", name, b.Loudness, c.want)
		}
		worst := 0.0
		gain := math.Pow(10, (c.want+20)/20)
		for i, x := range read(t, b, 48000, 48000) {
			worst = max(worst, math.Abs(float64(x)-gain*0.1*math.Sin(2*math.Pi*997*float64(i+48000)/48000)))
		}
		if worst > 1e-5 {
			t.Errorf("%s: up to %g off", name, worst)
		}
	}
}

// TestCheck: what can be played is not found fault with, and only its beginning is read.
func TestCheck(t *testing.T) {
	late := func(i int) float64 {
		if i < 250_000 {
			return 0
		}
		return steps(i)
	}
	for _, c := range []struct {
		path   string
		frames int64
	}{
		{write(t, rate, 100_000, steps), 400_000},
		{write(t, rate, 40_000, steps), 40_000},
		{write(t, rate, 300_000, late), 400_000},
	} {
		if err := Check(t.Context(), c.path, rate, c.frames); err != nil {
			t.Error(err)
		}
	}
	cut := write(t, rate, 200_000, steps)
	if err := os.Truncate(cut, 3*150_000); err != nil {
		t.Fatal(err)
	}
	if err := Check(t.Context(), cut, rate, 400_000); err != nil {
		t.Error(err)
	}
}

// TestRefused: what cannot lie under a class says why, and leaves nothing behind.
func TestRefused(t *testing.T) {
	text := filepath.Join(t.TempDir(), "music.txt")
	if err := os.WriteFile(text, []byte("no music"), 0o600); err != nil {
		t.Fatal(err)
	}
	stopped, stop := context.WithCancel(t.Context())
	stop()
	for _, c := range []struct {
		ctx  context.Context
		path string
		want string
	}{
		{t.Context(), write(t, rate, 40_000, steps), "5.0 s of music cannot be repeated under a class: 12 s is the least"},
		{t.Context(), write(t, rate, 200_000, func(int) float64 { return 0 }), "no sound in it"},
		{t.Context(), write(t, rate, 0, steps), "no sound in it"},
		{t.Context(), text, "not readable"},
		{t.Context(), filepath.Join(t.TempDir(), "missing.mp3"), "no such file"},
		{stopped, write(t, rate, 200_000, steps), "canceled"},
	} {
		dir := t.TempDir()
		b, err := Prepare(c.ctx, c.path, rate, 400_000, dir)
		if err == nil {
			b.Close()
		}
		if err == nil || !strings.Contains(err.Error(), c.want) || !strings.Contains(err.Error(), filepath.Base(c.path)) {
			t.Errorf("%v, want %q and the file's name", err, c.want)
		}
		said := err
		if err := Check(c.ctx, c.path, rate, 400_000); err == nil || err.Error() != said.Error() {
			t.Errorf("the check says %v, want %v", err, said)
		}
		if left, _ := os.ReadDir(dir); len(left) > 0 {
			t.Errorf("%s is left over", left[0].Name())
		}
	}
}
