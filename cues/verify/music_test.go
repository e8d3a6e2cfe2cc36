package verify_test

import (
	"encoding/binary"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"cuewright/audio"
	"cuewright/audio/bed"
	"cuewright/audio/wav"
	"cuewright/cues"
)

const underMusic = `class: Harbour Steps
units: km/h
warm-up: [{speed: 6, for: 25s}]
main: [{speed: 9, cadence: 171.5, for: 30s}]
cool-down: [{speed: 5, for: 20s}]
`

const shortClass = `class: Harbour Steps
units: km/h
calls: {opening: 12s, closing: 4s}
main: [{speed: 9, cadence: 171.5, for: 15s}, {speed: 7, for: 15s}]
`

// compose makes music of 30 s out of arithmetic, ready to lie under a class.
func compose(t *testing.T, signal func(seconds float64) float64) *bed.Bed {
	t.Helper()
	const rate, seconds = 48000, 30
	path := filepath.Join(t.TempDir(), "music.wav")
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	w, err := wav.NewWriter(f, wav.Format{FileInfo: audio.FileInfo{Rate: rate, Channels: 1, Bits: 24, Frames: rate * seconds}})
	if err != nil {
		t.Fatal(err)
	}
	raw := make([]byte, 0, 3*rate*seconds)
	for i := range rate * seconds {
		v := int32(math.Round(signal(float64(i)/rate) * (1 << 23)))
		raw = append(raw, byte(v), byte(v>>8), byte(v>>16))
	}
	if _, err := w.Write(raw); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	b, err := bed.Prepare(t.Context(), path, audio.Rate(rate), rate*600, t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { b.Close() })
	return b
}

// noise is steady; notes are a scale that decays, with partials near and on the
// pitch of the count's tones.
func noise() func(float64) float64 {
	rng := rand.New(rand.NewPCG(1, 2))
	return func(float64) float64 { return 0.2 * (2*rng.Float64() - 1) }
}

func notes(s float64) float64 {
	scale := []float64{250, 281.25, 312.5, 333.33, 375, 500}
	k, within := math.Modf(s / 0.4)
	sum := 0.0
	for p := 1.0; p <= 6; p++ {
		sum += math.Sin(2*math.Pi*p*scale[int(k*k+k/3)%len(scale)]*s) / p
	}
	return 0.2 * sum * math.Exp(-3*within) * math.Min(1, 50*within)
}

// A track over music verifies, and not only because nothing can be measured.
func TestMusic(t *testing.T) {
	if testing.Short() {
		t.Skip("measures, which the race detector makes ten times as slow")
	}
	for _, c := range []struct {
		name   string
		signal func(float64) float64
		forms  []string
	}{
		{"noise", noise(), []string{"bed: {file: x.wav, level: 0, duck: 0}\ncalls: {count: {with: words}}"}},
		{"notes", notes, []string{
			"bed: {file: x.wav}",
			"bed: {file: x.wav, level: -12, duck: -6}\ncalls: {count: {with: both}}",
			"bed: {file: x.wav, level: -20}\ntrack: {channels: 2, bits: 24, silence: noise}",
		}},
	} {
		name, music := c.name, compose(t, c.signal)
		for _, form := range c.forms {
			t.Run(name+" "+form, func(t *testing.T) {
				path := filepath.Join(t.TempDir(), "x.wav")
				r := hear(t, path, renderOver(t, underMusic+form+"\n", path, music))
				mustHold(t, r)
				for _, c := range r.Checks {
					loud := strings.Contains(form, "duck: 0") || strings.Contains(form, "both")
					if c.Name == "tones" && !loud && c.Heard < c.Due*2/3 {
						t.Errorf("only %d of %d tones could be measured", c.Heard, c.Due)
					}
					if c.Name == "music" && c.Heard < 3 {
						t.Errorf("the music was not measured: %s", c.Text)
					}
				}
			})
		}
	}
}

// What is wrong with music is named.
func TestWrongMusic(t *testing.T) {
	if testing.Short() {
		t.Skip("measures, which the race detector makes ten times as slow")
	}
	music := compose(t, noise())
	dir := t.TempDir()
	path := filepath.Join(dir, "x.wav")
	over := func(bed string) *cues.List { return renderOver(t, underMusic+bed+"\n", path, music) }
	due := over("bed: {file: x.wav}")
	good, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	named := func(want string) {
		t.Helper()
		r := hear(t, path, due)
		if got := text(r); r.Right || !strings.Contains(got, want) {
			t.Errorf("%q is not said of it:\n%s", want, got)
		}
	}
	over("bed: {file: x.wav, level: -3}")
	named("LU louder than the plan wants")
	over("bed: {file: x.wav, level: -9}")
	named("LU softer than the plan wants")
	over("bed: {file: x.wav, duck: -6}")
	named("beside calls the music is 6.0 LU louder than the plan wants")
	render(t, underMusic, path)
	named("no music is heard")

	// A call that the renderer left out, a beep five frames late, and no fade at
	// the end.
	spoiled := func(do func(samples []int16)) {
		t.Helper()
		b := append([]byte(nil), good...)
		raw := b[44 : 44+binary.LittleEndian.Uint32(b[40:])]
		samples := make([]int16, len(raw)/2)
		binary.Decode(raw, binary.LittleEndian, samples)
		do(samples)
		for i, v := range samples {
			binary.LittleEndian.PutUint16(raw[2*i:], uint16(v))
		}
		if err := os.WriteFile(path, b, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	start := int64(20 * 48000)
	for i := range due.Cues {
		if q := &due.Cues[i]; q.Lane == cues.Speech {
			spoiled(func(s []int16) {
				from, n := start+48000*int64(q.Start)/1e9, 48000*int64(q.Length)/1e9
				for k := range n {
					s[from+k] = int16(800 * noiseAt(k))
				}
			})
			named("is not heard")
			break
		}
	}
	spoiled(func(s []int16) {
		at := int(start) + 22*48000 // the beep of "three"
		copy(s[at+5:at+5+4800], append([]int16(nil), s[at:at+4800]...))
	})
	named(`the beep of "three" is 5 frames (0.104 ms) late`)
	spoiled(func(s []int16) {
		end := len(s)
		copy(s[end-48000:], s[end-8*48000:end-7*48000])
	})
	named("the music ends without a fade")
}

func noiseAt(k int64) float64 { return 2*float64(uint32(k*2654435761)>>8)/(1<<24) - 1 }

// Every form of file verifies, with music and without.
func TestFormsOfFiles(t *testing.T) {
	if testing.Short() {
		t.Skip("measures, which the race detector makes ten times as slow")
	}
	if _, err := exec.LookPath("ffmpeg"); err != nil {
		t.Skip("ffmpeg is not installed: mp3, m4a and opus are not verified")
	}
	music := compose(t, notes)
	for _, c := range []struct{ form, extra string }{
		{"flac", "bed: {file: x.wav}"}, {"flac", "track: {rate: 44100, bits: 24, channels: 2}"}, {"mp3", "bed: {file: x.wav}\ntrack: {channels: 2}"},
		{"m4a", "track: {peak: -4}"}, {"opus", "track: {rate: 44100, channels: 2}"},
	} {
		t.Run(c.form+" "+c.extra, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "x."+c.form)
			over := music
			if !strings.Contains(c.extra, "bed") {
				over = nil
			}
			r := hear(t, path, renderOver(t, shortClass+c.extra+"\n", path, over))
			mustHold(t, r)
			for _, check := range r.Checks {
				if check.Name == "markers" && (check.Due != 4 || check.Heard != 4) {
					t.Errorf("markers %s", check.Text)
				}
			}
		})
	}
}
