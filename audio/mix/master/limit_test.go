package master

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"cuewright/audio"
	"cuewright/audio/loudness"
	"cuewright/audio/mix"
)

// readAll reads a limited mix in blocks of a size.
func readAll(l *limiter, size int) []float32 {
	r, out := l.reader(), make([]float32, l.mix.Frames)
	for at := 0; at < len(out); at += size {
		r.Read(out[at:min(at+size, len(out))], int64(at))
	}
	return out
}

const ceiling = 0.891 // -1 dBTP

// TestCeiling: it holds between the samples too, what needs no limiting is
// untouched, and nothing moves.
func TestCeiling(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	spike := make([]float32, 3000)
	spike[1500] = 3
	// Spikes of both signs at any distance, the worst an interpolator can meet.
	spikes := make([]float32, 6000)
	for at := 20; at < len(spikes); at += 1 + rng.IntN(40)*rng.IntN(3) {
		spikes[at] = float32(4*rng.Float64() - 2)
	}
	square := make([]float32, 6000)
	for i := range square {
		square[i] = 1.2 - 2.4*float32(i/53%2)
	}
	bursts := sine(997, 2, 0.2)
	for i := range bursts {
		if i/500%2 == 0 {
			bursts[i] /= 20
		}
	}
	// Sounds that reach up to half the rate have peaks that the four-fold
	// interpolator of the standard cannot see: they are held by its own reading only.
	signals := map[string]struct {
		x     []float32
		sharp bool
	}{
		"noise":        {noise(6000, 0.5, false), false},
		"white noise":  {noise(6000, 0.4, true), true},
		"spike":        {spike, true},
		"spikes":       {spikes, true},
		"square":       {square, true},
		"bursts":       {bursts, false},
		"voice":        {pulses(0.3), false},
		"tone":         {sine(1000, 2, 0.1), false},
		"quarter rate": {sine(11999, 1.6, 0.1), false}, // its peaks lie between the samples
		"0.45 of rate": {sine(21599, 1.6, 0.1), false},
		"low tone":     {sine(60, 1.7, 0.1), false},
	}
	worst := math.Inf(-1)
	for name, signal := range signals {
		for _, rate := range []audio.Rate{16000, 44100, 48000, 96000} {
			m := mix.New(60_000, []mix.Event{{At: 25_000, Samples: signal.x, Gain: 1}, {At: 57_000, Samples: sine(500, 0.2, 0.05), Gain: 1}})
			l := newLimited(m, rate, 1.25, ceiling)
			whole := readAll(l, int(m.Frames))
			var meter loudness.PeakMeter
			meter.Add(whole)
			if over := decibels(meter.Peak() / ceiling); over > 0 {
				t.Errorf("%s at %d: %.3f dB over the ceiling by the standard's meter", name, rate, over)
			}
			// The interpolator reads up to 0.55 dB low (PeakMeter).
			if !signal.sharp {
				over := decibels(truePeak(whole[24_900:40_000]) / ceiling)
				worst = max(worst, over)
				if over > 0.55 {
					t.Errorf("%s at %d: %.2f dB over the ceiling", name, rate, over)
				}
			}
			plain := make([]float32, m.Frames)
			m.Read(plain, 0)
			for i, x := range whole {
				p := plain[i] * 1.25
				away := i < 25_000-l.tail || i > 25_000+len(signal.x)+l.lead
				if away && x != p || (x == 0) != (p == 0) || x*p < 0 || max(x, -x) > max(p, -p) {
					t.Fatalf("%s at %d: frame %d became %v from %v", name, rate, i, x, p)
				}
			}
		}
	}
	t.Logf("at eight times the rate %.3f dB over the ceiling at most", worst)
}

// TestUntouched: under the ceiling every sample is the mix's own, bit for bit.
func TestUntouched(t *testing.T) {
	x := pulses(2)
	gain := float32(ceiling * margin * 0.99 / truePeak(x)) // the four-fold interpolator may read a little high
	m := mix.New(int64(len(x)), []mix.Event{{Samples: x, Gain: 1}})
	r := newLimited(m, 48000, gain, ceiling).reader()
	got := make([]float32, len(x))
	r.Read(got, 0)
	for i := range x {
		if got[i] != float32(x[i]*gain) {
			t.Fatalf("frame %d became %v from %v", i, got[i], x[i]*gain)
		}
	}
	if r.least != 1 {
		t.Errorf("a gain of %v was applied", r.least)
	}
}

// TestBlocks: blocks of any size, in any order, give the samples of the whole.
func TestBlocks(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var events []mix.Event
		for range rapid.IntRange(0, 8).Draw(t, "events") {
			events = append(events, mix.Event{
				At:      rapid.Int64Range(-200, 3200).Draw(t, "at"),
				Samples: rapid.SliceOfN(rapid.Float32Range(-1, 1), 0, 300).Draw(t, "samples"),
				Gain:    rapid.Float32Range(0, 2).Draw(t, "gain"),
			})
		}
		m := mix.New(rapid.Int64Range(1, 3000).Draw(t, "frames"), events)
		gain := rapid.Float32Range(0.5, 4).Draw(t, "gain")
		l := newLimited(m, 1000, gain, ceiling) // a low rate, to have much happen in few frames
		whole := readAll(l, int(m.Frames))
		for _, size := range []int{1, 7, 479, 4096} {
			if !slices.Equal(readAll(l, size), whole) {
				t.Fatalf("blocks of %d give other samples", size)
			}
		}
	})
	// The same at a real rate, long enough for many blocks.
	x := pulses(4)
	m := mix.New(int64(len(x)), []mix.Event{{Samples: x, Gain: 1}, {At: 100_000, Samples: sine(5000, 0.8, 0.01), Gain: 1}})
	l := newLimited(m, 48000, 1.5, ceiling)
	whole := readAll(l, len(x))
	for _, size := range []int{479, 4096, block} {
		if !slices.Equal(readAll(l, size), whole) {
			t.Errorf("blocks of %d give other samples", size)
		}
	}
	rng := rand.New(rand.NewPCG(1, 2))
	r := l.reader()
	for range 500 {
		at := rng.IntN(len(x) - 7)
		b := make([]float32, 1+6*rng.IntN(2))
		if r.Read(b, int64(at)); !slices.Equal(b, whole[at:at+len(b)]) {
			t.Fatalf("%d frames from %d on differ", len(b), at)
		}
	}
}

// TestGains: the gain is what its definition says, worked out frame by frame.
func TestGains(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		plain := make([]float32, rapid.IntRange(1, 2000).Draw(t, "frames"))
		for i := range plain {
			plain[i] = 0.1
		}
		for range rapid.IntRange(0, 6).Draw(t, "spikes") {
			plain[rapid.IntRange(0, len(plain)-1).Draw(t, "at")] = rapid.Float32Range(-20, 20).Draw(t, "spike")
		}
		l := newLimited(mix.New(int64(len(plain)), []mix.Event{{Samples: plain, Gain: 1}}), 1000, 1.5, ceiling)
		const w, hold, back = 2, 15, 200 // frames at this rate
		const ceiling = ceiling * margin * coarse
		got := readAll(l, rapid.SampledFrom([]int{50, 479, 4096}).Draw(t, "block"))

		const around = 2 * back // of silence
		n := len(plain) + 2*around
		x, needed, held, low := make([]float32, n), make([]float64, n), make([]float64, n), make([]float64, n)
		for i := range needed {
			needed[i] = 1
		}
		for i, v := range plain {
			x[around+i] = v * l.gain
		}
		loudness.Overs(x, ceiling, func(i int, peak float32) { needed[i] = min(needed[i], ceiling/float64(peak)) })
		for i := range held {
			held[i] = slices.Min(needed[max(0, i-w-hold):min(n, i+w+1)])
			low[i] = 1
			for k := 0; k <= min(i, back); k++ {
				low[i] = min(low[i], held[i-k]+float64(k)/back)
			}
		}
		for i, v := range got {
			g := 0.0
			for k, weight := range [2*w + 1]float64{1, 2, 3, 2, 1} {
				g += weight / 9 * low[around+i+k-w]
			}
			if want := float64(x[around+i]) * g; math.Abs(float64(v)-want) > 1e-5*math.Abs(want) {
				t.Fatalf("frame %d is %v, want %v", i, v, want)
			}
		}
	})
}

// TestCourse: the gain falls within the attack, stays for the hold, comes back
// within the release and jumps nowhere.
func TestCourse(t *testing.T) {
	const at = 30_000
	x := make([]float32, 60_000)
	for i := range x {
		x[i] = 0.2
	}
	x[at] = 2 * ceiling * margin
	m := mix.New(60_000, []mix.Event{{Samples: x, Gain: 1}})
	out := readAll(newLimited(m, 48000, 1, ceiling), 4096)
	gain := func(offset time.Duration) float64 {
		i := at + int(offset*48000/time.Second)
		return float64(out[i]) / float64(x[i])
	}
	const ms = time.Millisecond
	for offset, want := range map[time.Duration][2]float64{
		-6 * ms:   {1, 1}, // not begun
		-4 * ms:   {0.9, 0.999},
		0:         {0.49, 0.5}, // 6 dB
		14 * ms:   {0.49, 0.501},
		65 * ms:   {0.7, 0.8}, // half of the way back
		108 * ms:  {0.94, 0.999},
		125 * ms:  {1, 1},
		-100 * ms: {1, 1},
		500 * ms:  {1, 1},
	} {
		if g := gain(offset); g < want[0] || g > want[1] {
			t.Errorf("at %v the gain is %.4f, want %v", offset, g, want)
		}
	}
	for i := 1; i < len(x); i++ {
		// The steepest of a triangle of 5 ms, half of the way.
		if step := math.Abs(float64(out[i])/float64(x[i]) - float64(out[i-1])/float64(x[i-1])); step > 1.01*0.5/120 {
			t.Fatalf("a step of %.4f at %d", step, i)
		}
	}
}

// TestTones: a steady tone is scaled, not bent.
func TestTones(t *testing.T) {
	for _, hz := range []float64{60, 100, 1000} {
		m := mix.New(48000, []mix.Event{{Samples: sine(hz, 1.4, 1), Gain: 1}})
		out := readAll(newLimited(m, 48000, 1, ceiling), 48000)
		bin := func(hz float64) float64 {
			var re, im float64
			for i := 12000; i < 36000; i++ {
				s, c := math.Sincos(2 * math.Pi * hz * float64(i) / 48000)
				re += float64(out[i]) * c
				im += float64(out[i]) * s
			}
			return math.Hypot(re, im)
		}
		for k := 2.0; k < 8; k++ {
			if db := decibels(bin(k*hz) / bin(hz)); db > -140 {
				t.Errorf("%v Hz: %v Hz stands at %.1f dB", hz, k*hz, db)
			}
		}
	}
}

// TestIslands: sounds that come again are worked out once, others are told apart by
// sound, distance, gain and length, and what is kept reads as what is worked out.
func TestIslands(t *testing.T) {
	a, b := sine(400, 1.3, 0.3), noise(9000, 0.9, true)
	const far = 40_000
	var events []mix.Event
	at := int64(5000)
	add := func(gain float32, offset int64, second []float32) {
		events = append(events, mix.Event{At: at, Samples: a, Gain: gain}, mix.Event{At: at + offset, Samples: second, Gain: 1})
		at += far
	}
	add(1, 100, b)                                                                                 // 0
	add(1, 100, b)                                                                                 // 1, as 0
	add(0.9, 100, b)                                                                               // 2
	add(1, 101, b)                                                                                 // 3
	add(1, 100, b[:100])                                                                           // 4
	add(1, 100, b[1:])                                                                             // 5
	add(0.9, 100, b)                                                                               // 6, as 2
	m := mix.New(at-far+5000, append(events, mix.Event{At: at - far + 4900, Samples: b, Gain: 1})) // 6 is cut, and has one more
	l := newLimited(m, 48000, 1, ceiling)
	var like []int
	for _, s := range l.islands {
		like = append(like, s.SameAs)
	}
	if !slices.Equal(like, []int{0, 0, 2, 3, 4, 5, 6}) {
		t.Fatalf("islands are like %v", like)
	}
	want := readAll(l, 7000)
	r := l.reader()
	r.limit(make([]float32, 20_000), 5000)
	alone := r.least
	r.keep()
	if l.islands[1].cached == nil || &l.islands[1].cached[0] != &l.islands[0].cached[0] {
		t.Error("what sounds the same is not kept once")
	}
	if got := readAll(l, 997); !slices.Equal(got, want) {
		t.Error("what is kept differs from what is worked out")
	}
	if l.least == 1 || l.least > alone {
		t.Errorf("the least gain kept is %v, one island alone has %v", l.least, alone)
	}
	for _, c := range []struct {
		mix.Span
		want place
		ok   bool
	}{
		{mix.Span{From: 5000 + far, To: 5100 + far}, place{0, 0, 100}, true}, {mix.Span{From: 5010, To: 5020}, place{0, 10, 20}, true},
		{mix.Span{From: 4999, To: 5020}, place{}, false}, {mix.Span{From: 5010, To: 5000 + far}, place{}, false}, {mix.Span{From: m.Frames, To: m.Frames + 1}, place{}, false},
	} {
		if got, ok := l.place(c.Span); got != c.want || ok != c.ok {
			t.Errorf("%v is at %v, %v, want %v, %v", c.Span, got, ok, c.want, c.ok)
		}
	}
	// The loudness of stretches that come again is that of the stretches one by one,
	// but for what rings from one into the next: these begin and end in full sound.
	spoken := []mix.Span{{From: 5000, To: 14_000}, {From: 5000 + far, To: 14_000 + far}, {From: 5000 + 2*far, To: 14_000 + 2*far}, {From: 5100 + 3*far, To: 14_000 + 3*far}}
	meter := loudness.NewMeter(48000, 2)
	for _, s := range spoken {
		meter.Add(want[s.From:s.To])
	}
	if got := r.loudness(spoken); math.Abs(got-meter.Integrated()) > 0.005 {
		t.Errorf("%v LUFS, want %v", got, meter.Integrated())
	}
	var peak loudness.PeakMeter
	peak.Add(want)
	if got, least := r.peaks(m.Spans()); got != peak.Peak() || float32(least) != l.least {
		t.Errorf("peak %v with gain %v, want %v and %v", got, least, peak.Peak(), l.least)
	}
}
