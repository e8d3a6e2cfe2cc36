package speech

import (
	"math"
	"math/rand/v2"
	"testing"

	"cuewright/audio"
	"cuewright/audio/speech/speechtest"
)

// room is a recording of a word with what a room adds: noise of some colour,
// breaths, a mouth click, and the button pressed at both ends.
func room(w speechtest.Made, snr float64, rng *rand.Rand) (x []float64, from, to int) {
	fs := float64(w.Rate)
	before, after := 0.45+0.5*rng.Float64(), 0.5+0.4*rng.Float64()
	x = w.Padded(before, after)
	from, to = speechtest.Bounds(x, w.Rate)
	speech := speechtest.RMS(x[from:to])

	n := speechtest.Noise(len(x), 1, rng)
	if rng.IntN(2) == 0 { // darker
		speechtest.Resonate(n, fs, 60, 400)
	}
	if rng.IntN(3) == 0 { // mains
		for i := range n {
			n[i] += 0.7 * speechtest.RMS(n[:100]) * math.Sin(2*math.Pi*150*float64(i)/fs)
		}
	}
	speechtest.Scale(n, speech*math.Pow(10, -snr/20))
	speechtest.Add(x, n, 0)

	breath := func(ms float64) []float64 {
		b := speechtest.Noise(int(ms/1000*fs), 1, rng)
		speechtest.Resonate(b, fs, 1200, 900)
		speechtest.Scale(b, speech*math.Pow(10, -(20+12*rng.Float64())/20))
		for i := range b {
			b[i] *= math.Sin(math.Pi * float64(i) / float64(len(b)))
		}
		return b
	}
	if rng.IntN(3) == 0 {
		ms := 80 + 120*rng.Float64()
		speechtest.Add(x, breath(ms), from-int((0.13+0.22*rng.Float64()+ms/1000)*fs))
	}
	if rng.IntN(3) == 0 {
		speechtest.Add(x, breath(150), to+int((0.15+0.25*rng.Float64())*fs))
	}
	if rng.IntN(3) == 0 {
		speechtest.Add(x, speechtest.Noise(int(0.003*fs), speech*0.3, rng), from-int((0.06+0.2*rng.Float64())*fs))
	}
	if rng.IntN(3) == 0 {
		thump := make([]float64, int(0.08*fs))
		for i := range thump {
			t := float64(i) / fs
			thump[i] = 2 * speech * math.Sin(2*math.Pi*60*t) * math.Exp(-t/0.02)
		}
		speechtest.Add(x, thump, 0)
		speechtest.Add(x, speechtest.Noise(int(0.003*fs), speech*0.5, rng), len(x)-int(0.02*fs))
	}
	return x, from, to
}

// The limits are those the method reached on real recordings, see trim.go.
func TestTrim(t *testing.T) {
	var cutStart, cutEnd, early, late, n float64
	for seed := range uint64(300) {
		rng := rand.New(rand.NewPCG(seed, 1))
		rate := []audio.Rate{16000, 22050, 44100}[rng.IntN(3)]
		shape := speechtest.Shapes[rng.IntN(len(speechtest.Shapes))]
		w := speechtest.Say(rate, 90+130*rng.Float64(), rng, speechtest.Words[shape]...)
		snr := 30 + 20*rng.Float64()
		x, from, to := room(w, snr, rng)
		got, err := Find(centred(x, rate), rate)
		if err != nil {
			t.Errorf("seed %d, %s at %d Hz: %v", seed, shape, rate, err)
			continue
		}
		n++
		ms := func(samples int) float64 { return 1000 * float64(samples) / float64(rate) }
		report := func(what string) {
			t.Logf("seed %d, %s at %d Hz, %.0f dB: %s: %.0f..%.0f ms for %.0f..%.0f",
				seed, shape, rate, snr, what, ms(got.From), ms(got.To), ms(from), ms(to))
		}
		if ms(got.From-from) > 30 {
			cutStart++
			report("start cut")
		}
		if ms(to-got.To) > 40 {
			cutEnd++
			report("end cut")
		}
		if ms(from-got.From) > 80 {
			early++
			report("kept too early")
		}
		if ms(got.To-to) > 100 {
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
	for i, shape := range speechtest.Shapes {
		w := speechtest.Say(16000, 120, rand.New(rand.NewPCG(uint64(i), 2)), speechtest.Words[shape]...)
		from, to := speechtest.Bounds(w.X, 16000)
		x := w.X[from:to]
		got, err := Find(centred(x, 16000), 16000)
		if err != nil {
			t.Errorf("%s: %v", shape, err)
		} else if got.From > 5*16 || len(x)-got.To > 40*16 {
			t.Errorf("%s: cut %d and %d of %d samples", shape, got.From, len(x)-got.To, len(x))
		}
	}
}

func TestNoSpeech(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 3))
	click := speechtest.Noise(16000, 0.001, rng)
	speechtest.Add(click, speechtest.Noise(48, 0.3, rng), 8000)
	for name, x := range map[string][]float64{
		"empty":   {},
		"silence": make([]float64, 16000),
		"short":   speechtest.Noise(200, 0.1, rng),
		"noise":   speechtest.Noise(16000, 0.01, rng),
		"click":   click,
	} {
		if got, err := Find(x, 16000); err != ErrNone {
			t.Errorf("%s: %+v, %v", name, got, err)
		}
	}
}

// What lies a long pause away is another phrase, and is told.
func TestSpeechLeftOut(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 4))
	long, short := speechtest.Say(16000, 120, rng, speechtest.Words["go"]...), speechtest.Say(16000, 120, rng, speechtest.Words["ahead"]...)
	x := append(long.Padded(0.3, 0.9), short.Padded(0, 0.4)...)
	speechtest.Add(x, speechtest.Noise(len(x), 1e-4, rng), 0)
	got, err := Find(centred(x, 16000), 16000)
	if err != nil || got.To > 16000*12/10 || len(got.Warnings()) != 1 {
		t.Errorf("%+v, %v, %q", got, err, got.Warnings())
	}
	if same, _ := Find(centred(long.Padded(0.3, 0.9), 16000), 16000); len(same.Warnings()) != 0 {
		t.Errorf("one phrase: %q", same.Warnings())
	}
}

func centred(x []float64, rate audio.Rate) []float64 {
	s := audio.Sound{Rate: rate, Samples: make([]float32, len(x))}
	for i, v := range x {
		s.Samples[i] = float32(v)
	}
	out, err := WithoutDC(s)
	if err != nil {
		panic(err)
	}
	return out
}
