package clip

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"cuewright/audio"
	"cuewright/audio/speech/speechtest"
)

// loudestOfK is an own meter at 48 kHz: the K-weighting coefficients as printed in
// ITU-R BS.1770-5, the loudest window every 10 ms with silence on both sides.
func loudestOfK(samples []float32, seconds float64) float64 {
	size := int(seconds * 48000)
	x := make([]float64, size+len(samples)+size)
	for i, v := range samples {
		x[size+i] = float64(v)
	}
	for _, c := range [][5]float64{
		{1.53512485958697, -2.69169618940638, 1.19839281085285, -1.69065929318241, 0.73248077421585},
		{1, -2, 1, -1.99004745483398, 0.99007225036621},
	} {
		var x1, x2, y1, y2 float64
		for i, v := range x {
			y := c[0]*v + c[1]*x1 + c[2]*x2 - c[3]*y1 - c[4]*y2
			x2, x1, y2, y1 = x1, v, y1, y
			x[i] = y
		}
	}
	best := math.Inf(-1)
	for i := 0; i+size <= len(x); i += 480 {
		best = max(best, -0.691+20*math.Log10(speechtest.RMS(x[i:i+size])))
	}
	return best
}

// clipOf prepares one recording at 48 kHz.
func clipOf(t testing.TB, rate audio.Rate, presence float64, channels ...[]float64) *Clip {
	t.Helper()
	c, _, err := NewMaker(48000, presence, "").Make(t.Context(), "a.wav", speechtest.WAV(rate, channels...))
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// Words of any level and DC come out at Level, free of DC, faded, with their
// speech between Lead and Tail.
func TestClips(t *testing.T) {
	for seed := range uint64(40) {
		rng := rand.New(rand.NewPCG(seed, 11))
		rate := []audio.Rate{8000, 16000, 22050, 44100, 48000, 96000}[rng.IntN(6)]
		shape := speechtest.Shapes[rng.IntN(len(speechtest.Shapes))]
		w := speechtest.Say(rate, 100+100*rng.Float64(), rng, speechtest.Words[shape]...)
		x := w.Padded(0.4, 0.4)
		onset := w.Onset + 0.4
		from, to := speechtest.Bounds(x, rate)
		speechtest.Add(x, speechtest.Noise(len(x), speechtest.RMS(w.X)*1e-3, rng), 0)
		gain, dc := math.Pow(10, (12-24*rng.Float64())/20), 0.04*rng.Float64()-0.02
		for i := range x {
			x[i] = x[i]*gain + dc
		}
		presence := float64(6 * rng.IntN(2))
		c := clipOf(t, rate, presence, x)
		name := fmt.Sprintf("seed %d, %s at %d Hz, presence %v", seed, shape, rate, presence)

		if c.Lead != 480 || c.Tail != 1440 {
			t.Errorf("%s: lead %d, tail %d", name, c.Lead, c.Tail)
		}
		if got, want := float64(c.Speech())/48000, float64(to-from)/float64(rate); math.Abs(got-want) > 0.060 {
			t.Errorf("%s: %.3f s of speech, %.3f said", name, got, want)
		}
		long, short := loudestOfK(c.Samples, 0.4), loudestOfK(c.Samples, 0.2)-2
		if got := max(long, short); math.Abs(got-Level) > 0.3 {
			t.Errorf("%s: %.2f LUFS", name, got)
		}
		y := double(c.Samples)
		var sum float64
		for _, v := range y {
			sum += v
		}
		if mean := sum / float64(len(y)); math.Abs(mean) > 0.001 {
			t.Errorf("%s: DC %.4f", name, mean)
		}
		if edge := max(math.Abs(y[0]), math.Abs(y[len(y)-1])); edge > 1e-4 {
			t.Errorf("%s: an edge at %.6f", name, edge)
		}
		// The beat of a word lies near its vowel; nasals count in part.
		if beat := float64(c.Beat-c.Lead)/48000 + float64(from)/float64(rate); math.Abs(beat-onset) > 0.060 {
			t.Errorf("%s: beat at %.3f s, vowel at %.3f", name, beat, onset)
		}
	}
}

// A voice that comes with 6 dB of spread leaves with 1.2 at most.
func TestLevelsMatch(t *testing.T) {
	var before, after []float64
	for seed := range uint64(60) {
		rng := rand.New(rand.NewPCG(seed, 12))
		w := speechtest.Say(48000, 100+100*rng.Float64(), rng, speechtest.Words[speechtest.Shapes[rng.IntN(len(speechtest.Shapes))]]...)
		x := w.Padded(0.3, 0.3)
		speechtest.Scale(x, 0.02*math.Pow(10, 6*rng.NormFloat64()/20))
		before = append(before, loudestOfK(single(x), 0.4))
		after = append(after, loudestOfK(clipOf(t, 48000, 0, x).Samples, 0.4))
	}
	if b, a := deviation(before), deviation(after); b < 5 || a > 1.2 {
		t.Errorf("%.2f dB before, %.2f after", b, a)
	}
}

func deviation(x []float64) float64 {
	var mean, sum float64
	for _, v := range x {
		mean += v / float64(len(x))
	}
	for _, v := range x {
		sum += (v - mean) * (v - mean)
	}
	return math.Sqrt(sum / float64(len(x)))
}

// A recording that starts and ends with the speech gets silence around it, and
// no click.
func TestTightClip(t *testing.T) {
	w := speechtest.Say(16000, 120, rand.New(rand.NewPCG(13, 13)), speechtest.Vowel(400, 700, 1200, 2500))
	c := clipOf(t, 16000, 0, w.X[800:5600])
	if c.Lead != 480 || c.Tail != 1440 || len(c.Samples) != 480+3*4800+1440 {
		t.Fatalf("lead %d, tail %d, %d samples", c.Lead, c.Tail, len(c.Samples))
	}
	if got := speechtest.RMS(double(c.Samples[:400])); got > 1e-4 {
		t.Errorf("%g before the speech", got)
	}
	var within float64
	for i := 2400; i < 12000; i++ {
		within = max(within, math.Abs(float64(c.Samples[i]-c.Samples[i-1])))
	}
	for i := 1; i < len(c.Samples); i++ {
		if step := math.Abs(float64(c.Samples[i] - c.Samples[i-1])); step > within*1.05 {
			t.Fatalf("a step of %.4f at %d, %.4f within", step, i, within)
		}
	}
}

// DC leaves no trace, not even where there is no silence for it to die away in.
func TestClipWithDC(t *testing.T) {
	w := speechtest.Say(16000, 120, rand.New(rand.NewPCG(17, 17)), speechtest.Vowel(400, 700, 1200, 2500))
	x := w.X[800:5600]
	shifted := append([]float64(nil), x...)
	for i := range shifted {
		shifted[i] += 0.25
	}
	want, got := clipOf(t, 16000, 0, x), clipOf(t, 16000, 0, shifted)
	if len(got.Samples) != len(want.Samples) {
		t.Fatalf("%d samples, want %d", len(got.Samples), len(want.Samples))
	}
	for i := range want.Samples {
		if d := math.Abs(float64(got.Samples[i] - want.Samples[i])); d > 1e-4 {
			t.Fatalf("sample %d is %.5f off", i, d)
		}
	}
}

// The room's noise is faded out over 30 ms and not cut off.
func TestFadeOut(t *testing.T) {
	rng := rand.New(rand.NewPCG(18, 18))
	w := speechtest.Say(48000, 120, rng, speechtest.Vowel(400, 700, 1200, 2500))
	x := w.Padded(0.5, 0.5)
	room := speechtest.Noise(len(x), speechtest.RMS(w.X)*0.01, rng)
	speechtest.Add(x, room, 0)
	c := clipOf(t, 48000, 0, x)
	tail := double(c.Samples[len(c.Samples)-1440:])
	audio.HighPass(48000, 2000).Filter(tail) // the vowel's last breath lies lower
	half, last := speechtest.RMS(tail[480:960]), speechtest.RMS(tail[1200:])
	if db := 20 * math.Log10(last/half); db > -12 { // by the ramp: about -25 dB
		t.Errorf("the last 5 ms lie %.1f dB under the middle of the tail", db)
	}
}

// Preparing 130 s of speech at 16 kHz in 150 recordings, decoding apart.
func BenchmarkPrepare(b *testing.B) {
	var sounds []audio.Sound
	for i := range 150 {
		rng := rand.New(rand.NewPCG(uint64(i), 16))
		w := speechtest.Say(16000, 100+float64(i), rng, speechtest.Words[speechtest.Shapes[i%len(speechtest.Shapes)]]...)
		x := w.Padded(0.2, 130./150-0.2-w.Seconds)
		speechtest.Add(x, speechtest.Noise(len(x), 1e-4, rng), 0)
		sounds = append(sounds, audio.Sound{Rate: 16000, Samples: single(x)})
	}
	m := NewMaker(48000, 6, "")
	for b.Loop() {
		for _, s := range sounds {
			if _, _, err := m.prepare(s); err != nil {
				b.Fatal(err)
			}
		}
	}
}
