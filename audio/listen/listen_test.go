package listen

import (
	"math"
	"math/rand/v2"
	"testing"

	"cuewright/audio"
)

// put adds a sound to x from a place on that need not be a whole frame, written
// straight from its description.
func put(x []float32, rate audio.Rate, at float64, frames int, amplitude float64, hz [2]float64, decay bool) {
	for i := range x {
		t := (float64(i) - at) / float64(rate)
		if t < 0 || float64(i) >= at+float64(frames) {
			continue
		}
		v := math.Cos(2 * math.Pi * hz[0] * t)
		if hz[1] > 0 {
			v += 0.6 * math.Cos(2*math.Pi*hz[1]*t)
		}
		if decay {
			v *= math.Exp(-t / 0.012)
		}
		x[i] += float32(amplitude * v * 0.5 * (1 - math.Cos(math.Pi*min(1, (t*float64(rate)+1)/(0.001*float64(rate)+1)))))
	}
}

func noise(x []float32, deviation float64, seed uint64) {
	rng := rand.New(rand.NewPCG(seed, 1))
	for i := range x {
		x[i] += float32(deviation * rng.NormFloat64())
	}
}

// TestMatchedFilter: a sound is found to a small part of a frame, between frames and in noise,
// with its gain, and another sound is not taken for it.
func TestMatchedFilter(t *testing.T) {
	sounds := map[Shape]struct {
		ms    int
		hz    [2]float64
		gain  float64
		decay bool
	}{
		ShortTone:  {100, [2]float64{1000, 0}, 1, false},
		LeftClick:  {30, [2]float64{1200, 2900}, 1, true},
		RightClick: {30, [2]float64{1010, 2440}, math.Pow(10, -2.0/20), true},
	}
	const due, reach, pre = 2000, 16, 200
	for _, rate := range []audio.Rate{44100, 48000} {
		for s, sound := range sounds {
			f := NewMatchedFilter(s, rate, pre, int(rate)/100, reach)
			for _, off := range []float64{0, 3, -7, 0.5, -2.25, 11.9} {
				for _, hiss := range []float64{0, 0.002} {
					x := make([]float32, due+int(rate)/100)
					put(x, rate, due+off, int(rate)*sound.ms/1000, 0.3*sound.gain, sound.hz, sound.decay)
					noise(x, hiss, uint64(rate)+uint64(s))
					fit := f.Find(x, due, reach)
					if math.Abs(fit.Off-off) > 0.1 || math.Abs(fit.Gain-0.3) > 0.01 || fit.Explained < 0.95 {
						t.Errorf("%v, %d, hiss %v: due %v frames off: %+v", s, rate, hiss, off, fit)
					}
					if hiss > 0 && math.Abs(fit.Off-off) > 6*fit.OffError+0.05 {
						t.Errorf("%v, %d: %v frames off is found at %v, give or take %v", s, rate, off, fit.Off, fit.OffError)
					}
				}
			}
			for other, o := range sounds {
				x := make([]float32, due+int(rate)/100)
				put(x, rate, due, int(rate)*o.ms/1000, 0.3*o.gain, o.hz, o.decay)
				if fit := f.Find(x, due, reach); other != s && fit.Explained > 0.9 {
					t.Errorf("%v explains %.2f of %v", s, fit.Explained, other)
				}
			}
			if fit := f.Find(make([]float32, due+int(rate)/100), due, reach); fit != (Fit{}) {
				t.Errorf("%v in silence: %+v", s, fit)
			}
		}
	}
}

// TestSidebands: what sounds near a tone's pitch is doubted by about as much as it moves
// the tone.
func TestSidebands(t *testing.T) {
	const rate, due, reach = 48000, 2000, 16
	f := NewMatchedFilter(ShortTone, rate, 200, rate/100, reach)
	moved := 0
	for k := range 20 {
		x := make([]float32, due+rate/100)
		put(x, rate, due, rate/10, 0.3, [2]float64{1000, 0}, false)
		put(x, rate, float64(37*k), len(x), 0.05, [2]float64{1150, 0}, false)
		fit := f.Find(x, due, reach)
		f.Sidebands(&fit, x[due:])
		if math.Abs(fit.Off) > 6*fit.OffError {
			t.Errorf("%d: found %v frames off give or take %v", k, fit.Off, fit.OffError)
		}
		if math.Abs(fit.Off) > 0.1 {
			moved++
		}
	}
	var nothing Fit
	if f.Sidebands(&nothing, make([]float32, rate/100)); !math.IsInf(nothing.OffError, 1) {
		t.Errorf("what was not found has an error of %v", nothing.OffError)
	}
	if moved == 0 {
		t.Error("nothing was moved: the test shows nothing")
	}
}

// TestToneDetector: tones are heard where they are, to a millisecond, in any blocks, and
// nothing else is taken for one.
func TestToneDetector(t *testing.T) {
	for _, rate := range []audio.Rate{22050, 48000} {
		x := make([]float32, 4*rate)
		noise(x, 0.001, 5)
		want := []Tone{{int64(rate) / 3, int64(rate)/3 + int64(rate)/10}, {2 * int64(rate), 2*int64(rate) + int64(rate)/2}}
		for _, w := range want {
			put(x, rate, float64(w.From), int(w.To-w.From), 0.4, [2]float64{1000, 0}, false)
		}
		put(x, rate, float64(rate), int(rate)/2, 0.4, [2]float64{1080, 0}, false)    // another pitch
		put(x, rate, float64(3*rate), int(rate)/33, 0.4, [2]float64{1000, 0}, false) // too short
		s := NewToneDetector(rate)
		for from, n := 0, 1; from < len(x); from, n = from+n, n*3%4001 {
			s.Hear(x[from:min(from+n, len(x))])
		}
		got := s.Tones()
		if len(got) != len(want) {
			t.Fatalf("%d: heard %v, want %v", rate, got, want)
		}
		for i, g := range got {
			if ms := int64(rate) / 1000; max(g.From-want[i].From, want[i].From-g.From) > ms || max(g.To-want[i].To, want[i].To-g.To) > 2*ms {
				t.Errorf("%d: heard %v, want %v", rate, g, want[i])
			}
		}
	}
}
