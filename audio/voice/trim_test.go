package voice

import (
	"math"
	"math/rand/v2"
	"testing"

	"cuewright/audio"
)

// bounds gives where clean speech lies, by its own measure: 10 ms frames within
// 38 dB of the loudest, the definition the figures in trim.go were taken with.
func bounds(x []float64, rate audio.Rate) (from, to int) {
	size, hop := int(rate)/100, int(rate)/1000
	var top float64
	for i := 0; i+size <= len(x); i += hop {
		top = max(top, rmsOf(x[i:i+size]))
	}
	from = -1
	for i := 0; i+size <= len(x); i += hop {
		if rmsOf(x[i:i+size]) > top*math.Pow(10, -38./20) {
			if from < 0 {
				from = i + size/2
			}
			to = i + size/2
		}
	}
	return from, to
}

// room is a recording of a word with what a room adds: noise of some colour,
// breaths, a mouth click, and the button pressed at both ends.
func room(w made, snr float64, rng *rand.Rand) (x []float64, from, to int) {
	fs := float64(w.rate)
	before, after := 0.45+0.5*rng.Float64(), 0.5+0.4*rng.Float64()
	x = w.padded(before, after)
	from, to = bounds(x, w.rate)
	speech := rmsOf(x[from:to])

	n := noise(len(x), 1, rng)
	if rng.IntN(2) == 0 { // darker
		resonate(n, fs, 60, 400)
	}
	if rng.IntN(3) == 0 { // mains
		for i := range n {
			n[i] += 0.7 * rmsOf(n[:100]) * math.Sin(2*math.Pi*150*float64(i)/fs)
		}
	}
	scale(n, speech*math.Pow(10, -snr/20))
	add(x, n, 0)

	breath := func(ms float64) []float64 {
		b := noise(int(ms/1000*fs), 1, rng)
		resonate(b, fs, 1200, 900)
		scale(b, speech*math.Pow(10, -(20+12*rng.Float64())/20))
		for i := range b {
			b[i] *= math.Sin(math.Pi * float64(i) / float64(len(b)))
		}
		return b
	}
	if rng.IntN(3) == 0 {
		ms := 80 + 120*rng.Float64()
		add(x, breath(ms), from-int((0.13+0.22*rng.Float64()+ms/1000)*fs))
	}
	if rng.IntN(3) == 0 {
		add(x, breath(150), to+int((0.15+0.25*rng.Float64())*fs))
	}
	if rng.IntN(3) == 0 {
		add(x, noise(int(0.003*fs), speech*0.3, rng), from-int((0.06+0.2*rng.Float64())*fs))
	}
	if rng.IntN(3) == 0 {
		thump := make([]float64, int(0.08*fs))
		for i := range thump {
			t := float64(i) / fs
			thump[i] = 2 * speech * math.Sin(2*math.Pi*60*t) * math.Exp(-t/0.02)
		}
		add(x, thump, 0)
		add(x, noise(int(0.003*fs), speech*0.5, rng), len(x)-int(0.02*fs))
	}
	return x, from, to
}

// The limits are those the method reached on real recordings, see trim.go.
func TestTrim(t *testing.T) {
	var cutStart, cutEnd, early, late, n float64
	for seed := range uint64(300) {
		rng := rand.New(rand.NewPCG(seed, 1))
		rate := []audio.Rate{16000, 22050, 44100}[rng.IntN(3)]
		shape := shapes[rng.IntN(len(shapes))]
		w := say(rate, 90+130*rng.Float64(), rng, words[shape]...)
		snr := 30 + 20*rng.Float64()
		x, from, to := room(w, snr, rng)
		got, err := findSpeech(centred(x, rate), rate)
		if err != nil {
			t.Errorf("seed %d, %s at %d Hz: %v", seed, shape, rate, err)
			continue
		}
		n++
		ms := func(samples int) float64 { return 1000 * float64(samples) / float64(rate) }
		report := func(what string) {
			t.Logf("seed %d, %s at %d Hz, %.0f dB: %s: %.0f..%.0f ms for %.0f..%.0f",
				seed, shape, rate, snr, what, ms(got.from), ms(got.to), ms(from), ms(to))
		}
		if ms(got.from-from) > 30 {
			cutStart++
			report("start cut")
		}
		if ms(to-got.to) > 40 {
			cutEnd++
			report("end cut")
		}
		if ms(from-got.from) > 80 {
			early++
			report("kept too early")
		}
		if ms(got.to-to) > 100 {
			late++
			report("kept too late")
		}
	}
	for _, c := range []struct {
		what         string
		count, limit float64
	}{{"start cut by more than 30 ms", cutStart, 1}, {"end cut by more than 40 ms", cutEnd, 4},
		{"more than 80 ms kept too early", early, 3}, {"more than 100 ms kept too late", late, 3}} {
		if percent := 100 * c.count / n; percent > c.limit {
			t.Errorf("%s in %.1f %% of %v, at most %v %% expected", c.what, percent, n, c.limit)
		}
	}
}

// A recording without any silence must not lose its ends.
func TestTrimTight(t *testing.T) {
	for i, shape := range shapes {
		w := say(16000, 120, rand.New(rand.NewPCG(uint64(i), 2)), words[shape]...)
		from, to := bounds(w.x, 16000)
		x := w.x[from:to]
		got, err := findSpeech(centred(x, 16000), 16000)
		if err != nil {
			t.Errorf("%s: %v", shape, err)
		} else if got.from > 5*16 || len(x)-got.to > 40*16 {
			t.Errorf("%s: cut %d and %d of %d samples", shape, got.from, len(x)-got.to, len(x))
		}
	}
}

func TestNoSpeech(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 3))
	click := noise(16000, 0.001, rng)
	add(click, noise(48, 0.3, rng), 8000)
	for name, x := range map[string][]float64{
		"empty":   {},
		"silence": make([]float64, 16000),
		"short":   noise(200, 0.1, rng),
		"noise":   noise(16000, 0.01, rng),
		"click":   click,
	} {
		if got, err := findSpeech(x, 16000); err != errNoSpeech {
			t.Errorf("%s: %+v, %v", name, got, err)
		}
	}
}

// What lies a long pause away is another phrase, and is told.
func TestSpeechLeftOut(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 4))
	long, short := say(16000, 120, rng, words["go"]...), say(16000, 120, rng, words["ahead"]...)
	x := append(long.padded(0.3, 0.9), short.padded(0, 0.4)...)
	add(x, noise(len(x), 1e-4, rng), 0)
	got, err := findSpeech(centred(x, 16000), 16000)
	if err != nil || got.to > 16000*12/10 || len(got.warnings()) != 1 {
		t.Errorf("%+v, %v, %q", got, err, got.warnings())
	}
	if same, _ := findSpeech(centred(long.padded(0.3, 0.9), 16000), 16000); len(same.warnings()) != 0 {
		t.Errorf("one phrase: %q", same.warnings())
	}
}

func centred(x []float64, rate audio.Rate) []float64 {
	out, err := withoutDC(audio.Sound{Rate: rate, Samples: single(x)})
	if err != nil {
		panic(err)
	}
	return out
}
