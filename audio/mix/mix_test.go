package mix

import (
	"bytes"
	"errors"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"cuewright/audio"
	"cuewright/audio/loudness"
)

// draw makes a mix of random events, some outside of it, and its sum worked out
// sample by sample.
func draw(t *rapid.T) (*Mix, []float32) {
	frames := rapid.Int64Range(1, 3000).Draw(t, "frames")
	var events []Event
	for range rapid.IntRange(0, 8).Draw(t, "events") {
		events = append(events, Event{
			At:      rapid.Int64Range(-200, 3200).Draw(t, "at"),
			Samples: rapid.SliceOfN(rapid.Float32Range(-1, 1), 0, 300).Draw(t, "samples"),
			Gain:    rapid.Float32Range(0, 2).Draw(t, "gain"),
		})
	}
	sum := make([]float32, frames)
	sorted := slices.Clone(events)
	slices.SortStableFunc(sorted, func(a, b Event) int { return int(a.At - b.At) })
	for _, e := range sorted {
		for i, x := range e.Samples {
			if at := e.At + int64(i); at >= 0 && at < frames {
				sum[at] += x * e.Gain
			}
		}
	}
	return New(frames, events), sum
}

// TestRead: however the mix is cut into blocks, it is the sum of its events.
func TestRead(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, want := draw(t)
		for _, size := range []int{1, 7, 479, 4096} {
			var got []float32
			buf := make([]float32, size)
			for at := int64(0); at < m.Frames; at += int64(size) {
				b := buf[:min(int64(size), m.Frames-at)]
				m.Read(b, at)
				got = append(got, b...)
			}
			if !slices.Equal(got, want) {
				t.Fatalf("blocks of %d give another sum", size)
			}
		}
	})
}

// TestSpans: they are in order, apart, inside, and hold everything that sounds.
func TestSpans(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, sum := draw(t)
		inside := make([]bool, len(sum))
		last := int64(-1)
		for _, s := range m.Spans() {
			if s.From <= last || s.To <= s.From || s.To > m.Frames {
				t.Fatalf("span %v after one that ends at %d, of %d frames", s, last, m.Frames)
			}
			last = s.To
			for i := s.From; i < s.To; i++ {
				inside[i] = true
			}
		}
		for i, x := range sum {
			if x != 0 && !inside[i] {
				t.Fatalf("frame %d sounds outside of all spans", i)
			}
		}
	})
}

// TestWrite: digital silence stays zero, elsewhere the error is that of
// triangular dither, and the bytes do not depend on the workers.
func TestWrite(t *testing.T) {
	ramp := make([]float32, 400_000)
	for i := range ramp {
		ramp[i] = 0.001 * float32(i) / float32(len(ramp)) // some 33 steps of 16 bit
	}
	m := New(1_000_000, []Event{{At: 300_000, Samples: ramp, Gain: 1}})
	write := func(f Form, gain float32) []byte {
		var out bytes.Buffer
		master := &Master{limited: newLimited(m, 48000, gain, float32(math.Inf(1)))}
		if err := master.Write(f, func(b []byte) error { out.Write(b); return nil }); err != nil {
			t.Fatal(err)
		}
		return out.Bytes()
	}
	got := write(Form{Bits: 16, Channels: 1}, 1)
	if len(got) != 2_000_000 {
		t.Fatalf("%d bytes", len(got))
	}
	var sum, squares float64
	for i := range 1_000_000 {
		v := float64(int16(uint16(got[2*i]) | uint16(got[2*i+1])<<8))
		if i < 300_000 || i >= 700_000 {
			if v != 0 {
				t.Fatalf("frame %d of silence is %v", i, v)
			}
			continue
		}
		e := v - float64(ramp[i-300_000])*32768
		sum += e
		squares += e * e
	}
	// Lipshitz, Wannamaker and Vanderkooy 1992: mean 0, variance of TPDF dither and
	// quantiser together 3/12 steps².
	n := float64(len(ramp))
	if mean, variance := sum/n, squares/n; math.Abs(mean) > 0.005 || math.Abs(variance-0.25) > 0.005 {
		t.Errorf("the error has mean %.4f and variance %.4f, want 0 and 0.25", mean, variance)
	}
	for _, workers := range []int{1, 2, 7} {
		before := runtime.GOMAXPROCS(workers)
		again := write(Form{Bits: 16, Channels: 1}, 1)
		runtime.GOMAXPROCS(before)
		if !bytes.Equal(got, again) {
			t.Errorf("%d workers write other bytes", workers)
		}
	}
	stereo := write(Form{Bits: 16, Channels: 2}, 1)
	for i := 0; i < len(got); i += 2 {
		if !bytes.Equal(stereo[2*i:2*i+2], got[i:i+2]) || !bytes.Equal(stereo[2*i+2:2*i+4], got[i:i+2]) {
			t.Fatalf("frame %d differs in stereo", i/2)
		}
	}
	// 24 bits, far over full scale: clipped, not wrapped.
	loud := write(Form{Bits: 24, Channels: 1}, 1e6)
	at := 3 * 650_000
	if v := int32(uint32(loud[at])<<8|uint32(loud[at+1])<<16|uint32(loud[at+2])<<24) >> 8; v != 1<<23-1 {
		t.Errorf("an overdriven sample is %d", v)
	}
	noise := write(Form{Bits: 16, Channels: 1, Noise: true}, 1)
	zeros := 0
	for i := range 300_000 {
		if v := int16(uint16(noise[2*i]) | uint16(noise[2*i+1])<<8); v == 0 {
			zeros++
		} else if v > 1 || v < -1 {
			t.Fatalf("frame %d of the floor of noise is %d", i, v)
		}
	}
	// A triangle of two steps rounds to zero three times in four.
	if share := float64(zeros) / 300_000; math.Abs(share-0.75) > 0.01 {
		t.Errorf("%.3f of the floor is zero", share)
	}
}

// TestWriteError: a failing writer ends the work, and its error comes back.
func TestWriteError(t *testing.T) {
	full := errors.New("full")
	m := New(10*block, []Event{{Samples: make([]float32, 10*block), Gain: 1}})
	n := 0
	master := &Master{limited: newLimited(m, 48000, 1, 1)}
	err := master.Write(Form{Bits: 16, Channels: 1}, func([]byte) error {
		if n++; n == 3 {
			return full
		}
		return nil
	})
	if err != full || n != 3 {
		t.Errorf("%v after %d blocks", err, n)
	}
}

func sine(hz, amplitude float64, seconds float64) []float32 {
	x := make([]float32, int(48000*seconds))
	for i := range x {
		x[i] = float32(amplitude * math.Sin(2*math.Pi*hz*float64(i)/48000))
	}
	return x
}

// TestMaster: a sine of 997 Hz and amplitude 1 on one channel is at -3.01 LUFS
// (BS.1770-5, Annex 1: a 0 dBFS sine reads -3.01 LKFS), from two speakers at 0.
func TestMaster(t *testing.T) {
	speech := sine(997, 0.1, 5)
	m := New(48000*20, []Event{{At: 48000, Samples: speech, Gain: 1}, {At: 48000 * 10, Samples: sine(997, 0.5, 3), Gain: 1}})
	spoken := []Span{{48000, 48000 * 6}}
	gain := func(a *Master) float64 { return 20 * math.Log10(float64(a.limited.gain)) }
	l := m.Master(48000, spoken, 0, Target{Loudness: -30, Peak: -1})
	// -20 LUFS as it is; the loud tone is no speech and does not count.
	if math.Abs(gain(l)+10) > 0.05 || math.Abs(l.Loudness+30) > 0.021 || l.Held || l.Limited != 0 {
		t.Errorf("%+v, want a gain of -10 dB to -30 LUFS", l)
	}
	if math.Abs(l.Peak-(-6.02-10)) > 0.1 {
		t.Errorf("the peak is %.2f dBTP", l.Peak)
	}
	// The tone of -6 dBTP leaves room for 5 dB; what is more the limiter takes from it.
	if l := m.Master(48000, spoken, 0, Target{Loudness: -12, Peak: -1}); l.Held || l.Peak > -1 || l.Peak < -1.2 ||
		math.Abs(l.Loudness+12) > 0.021 || math.Abs(l.Limited-3) > 0.2 {
		t.Errorf("%+v, want -12 LUFS with 3 dB of limiting", l)
	}
	// The ceiling wins where it would take more than six.
	if l := m.Master(48000, spoken, 0, Target{Loudness: -6, Peak: -1}); !l.Held || l.Peak > -1 || math.Abs(l.Loudness+9) > 0.1 || math.Abs(l.Limited-6) > 0.2 {
		t.Errorf("%+v, want to be held at about -9 LUFS", l)
	}
	if l := m.Master(48000, nil, -17, Target{Loudness: -20, Peak: -1}); math.Abs(gain(l)+3) > 0.001 || !math.IsInf(l.Loudness, -1) {
		t.Errorf("without speech: %+v", l)
	}
	// Speech that peaks far over its loudness comes out at its target all the same.
	peaky := sine(997, 0.05, 5)
	for i := 4800; i < len(peaky); i += 9600 {
		for k := range 24 {
			peaky[i+k] *= 9
		}
	}
	m = New(48000*8, []Event{{At: 48000, Samples: peaky, Gain: 1}})
	if l := m.Master(48000, spoken, 0, Target{Loudness: -16, Peak: -1}); l.Held || math.Abs(l.Loudness+16) > 0.021 || l.Peak > -1 || l.Limited < 1 {
		t.Errorf("peaky speech: %+v", l)
	}
}

// truePeak is an independent measure: the signal at eight times its rate by a
// sinc of 64 samples under a Hann window.
func truePeak(x []float32) float64 {
	const half, times = 32, 8
	var taps [times][2 * half]float64
	for k := range taps {
		for j := range taps[k] {
			d := float64(j-half+1) - float64(k)/times
			w := 1.0
			if d != 0 {
				w = math.Sin(math.Pi*d) / (math.Pi * d)
			}
			taps[k][j] = w * (0.5 + 0.5*math.Cos(math.Pi*d/half))
		}
	}
	padded := make([]float64, len(x)+2*half)
	for i, v := range x {
		padded[half-1+i] = float64(v)
	}
	var peak float64
	for i := range x {
		for k := range taps {
			sum := 0.0
			for j, w := range taps[k] {
				sum += w * padded[i+j]
			}
			peak = max(peak, math.Abs(sum))
		}
	}
	return peak
}

// TestLimiter: the ceiling holds between the samples too, what needs no limiting
// is untouched, frames stay where they are, and blocks of any size give the same.
func TestLimiter(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 7))
	noise := make([]float32, 6000)
	for i := range noise {
		noise[i] = float32(rng.NormFloat64() * 0.4)
	}
	spike := make([]float32, 3000)
	spike[1500] = 3
	signals := map[string][]float32{
		"noise":        noise,
		"spike":        spike,
		"tone":         sine(1000, 2, 0.1),
		"quarter rate": sine(11999, 1.6, 0.1), // its peaks lie between the samples
		"low tone":     sine(60, 1.7, 0.1),
	}
	const ceiling = 0.891 // -1 dBTP
	for name, signal := range signals {
		m := New(20_000, []Event{{At: 5000, Samples: signal, Gain: 1}, {At: 16_000, Samples: sine(500, 0.2, 0.05), Gain: 1}})
		l := newLimited(m, 48000, 1, ceiling)
		whole := make([]float32, m.Frames)
		l.reader().Read(whole, 0)
		// The four-fold interpolator of BS.1770 reads up to 0.55 dB low (PeakMeter).
		if peak := decibels(truePeak(whole) / ceiling); peak > 0.55 {
			t.Errorf("%s: %.2f dB over the ceiling", name, peak)
		}
		var meter loudness.PeakMeter
		meter.Add(whole)
		if peak := decibels(meter.Peak() / ceiling); peak > 0 {
			t.Errorf("%s: %.3f dB over the ceiling by the standard's meter", name, peak)
		}
		plain := make([]float32, m.Frames)
		m.Read(plain, 0)
		reach := 2*l.box + l.hold + loudness.Margin
		for i, x := range whole {
			switch away := i < 5000-reach || i > 5000+len(signal)+reach; {
			case away && x != plain[i]:
				t.Fatalf("%s: frame %d, far from the peaks, was changed", name, i)
			case plain[i] == 0 && x != 0:
				t.Fatalf("%s: silence at frame %d is %v", name, i, x)
			case x*plain[i] < 0 || max(x, -x) > max(plain[i], -plain[i]):
				t.Fatalf("%s: frame %d became %v from %v", name, i, x, plain[i])
			}
		}
		for _, size := range []int{31, 479, 4096} {
			r := l.reader()
			got := make([]float32, m.Frames)
			for at := 0; at < len(got); at += size {
				r.Read(got[at:min(at+size, len(got))], int64(at))
			}
			if !slices.Equal(got, whole) {
				t.Errorf("%s: blocks of %d give other samples", name, size)
			}
		}
	}
	// A steady tone is scaled, not bent: its harmonics stay under -80 dB.
	m := New(48000, []Event{{Samples: sine(1000, 1.4, 1), Gain: 1}})
	out := make([]float32, 48000)
	newLimited(m, 48000, 1, ceiling).reader().Read(out, 0)
	bin := func(hz float64) float64 {
		var re, im float64
		for i := 12000; i < 36000; i++ {
			s, c := math.Sincos(2 * math.Pi * hz * float64(i) / 48000)
			re += float64(out[i]) * c
			im += float64(out[i]) * s
		}
		return math.Hypot(re, im)
	}
	for _, hz := range []float64{500, 2000, 3000, 5000} {
		if db := decibels(bin(hz) / bin(1000)); db > -80 {
			t.Errorf("%v Hz comes out at %.1f dB under the tone", hz, db)
		}
	}
}

// TestDuck: down before the first word, through short pauses, up after the last.
func TestDuck(t *testing.T) {
	rate := audio.Rate(1000) // a frame is a millisecond
	d := NewDuck(rate, []Span{{5000, 6000}, {7000, 8000}, {12000, 13000}}, -12)
	db := func(ms int64) float64 { return 20 * math.Log10(d.Gain(ms)) }
	for ms, want := range map[int64]float64{
		0: 0, 4749: 0, 4875: -6, 5000: -12, 5999: -12, 6500: -12, 7500: -12, // the pause of 1 s is bridged
		8399: -12, 8800: -6, 9201: 0, 11000: 0, 12500: -12, 20000: 0,
	} {
		if got := db(ms); math.Abs(got-want) > 0.01 {
			t.Errorf("at %d ms the gain is %.2f dB, want %.2f", ms, got, want)
		}
	}
	for ms := int64(1); ms < 16000; ms++ {
		if step := math.Abs(db(ms) - db(ms-1)); step > 0.1 {
			t.Fatalf("a step of %.2f dB at %d ms", step, ms)
		}
	}
	if g := NewDuck(48000, nil, -12).Gain(48000); g != 1 {
		t.Errorf("without speech the gain is %v", g)
	}
}
