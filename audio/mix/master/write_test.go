package master

import (
	"bytes"
	"errors"
	"math"
	"runtime"
	"testing"

	"cuewright/audio/loudness"
	"cuewright/audio/mix"
	"cuewright/audio/mix/pcm"
)

// written is what Write makes of a mix at a gain under a ceiling.
func written(t *testing.T, m *mix.Mix, gain, ceiling float64, f pcm.Form) []byte {
	t.Helper()
	return bytesOf(t, &Master{limited: newLimited(m, 48000, float32(gain), float32(ceiling))}, f)
}

func bytesOf(t *testing.T, m *Master, f pcm.Form) []byte {
	t.Helper()
	var out bytes.Buffer
	if err := m.Write(f, mix.Span{From: 0, To: m.limited.mix.Frames}, nil, func(b []byte) error { out.Write(b); return nil }); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// decoded are the samples of one channel in steps.
func decoded(b []byte, bits int) []float64 {
	x := make([]float64, len(b)*8/bits)
	for i := range x {
		if bits == 16 {
			x[i] = float64(int16(uint16(b[2*i]) | uint16(b[2*i+1])<<8))
		} else {
			x[i] = float64(int32(uint32(b[3*i])<<8|uint32(b[3*i+1])<<16|uint32(b[3*i+2])<<24) >> 8)
		}
	}
	return x
}

var free = math.Inf(1) // a ceiling that limits nothing

// TestDither: digital silence stays zero; elsewhere the error is that of
// triangular dither, wherever between two steps the sample lies.
func TestDither(t *testing.T) {
	const from, length = 300_000, 400_000
	for _, bits := range []int{16, 24} {
		full := float64(int(1) << (bits - 1))
		ramp := make([]float32, length)
		for i := range ramp {
			ramp[i] = float32(33 / full * float64(i) / length) // over 33 steps
		}
		m := mix.New(1_000_000, []mix.Event{{At: from, Samples: ramp, Gain: 1}})
		got := decoded(written(t, m, 1, free, pcm.Form{Bits: bits, Channels: 1}), bits)
		if len(got) != 1_000_000 {
			t.Fatalf("%d frames", len(got))
		}
		// Lipshitz, Wannamaker and Vanderkooy 1992: the error has mean 0 and the variance
		// of dither and quantiser together, 3/12 steps², whatever the sample.
		const parts = 8
		var n, sum, squares [parts]float64
		var last, beside float64 // an error, and the sum of products of neighbours
		for i, v := range got {
			if i < from || i >= from+length {
				if v != 0 {
					t.Fatalf("%d bits: frame %d of silence is %v", bits, i, v)
				}
				continue
			}
			x := float64(ramp[i-from]) * full
			part := int((x - math.Floor(x)) * parts)
			n[part]++
			sum[part] += v - x
			squares[part] += (v - x) * (v - x)
			beside += (v - x) * last
			last = v - x
		}
		// 400,000 products of deviation 1/4: 0.002 is five standard errors.
		if mean := beside / length; math.Abs(mean) > 0.002 {
			t.Errorf("%d bits: neighbours' errors have the mean product %.4f, want 0", bits, mean)
		}
		for p := range parts {
			// Some 50,000 errors of deviation 1/2 in each part: 0.011 is five standard
			// errors of the mean, and more of the variance.
			if mean, variance := sum[p]/n[p], squares[p]/n[p]; math.Abs(mean) > 0.011 || math.Abs(variance-0.25) > 0.011 {
				t.Errorf("%d bits, %d/%d between two steps: mean %.4f and variance %.4f, want 0 and 0.25", bits, p, parts, mean, variance)
			}
		}
	}
}

// TestNoise: the floor of noise is dither alone.
func TestNoise(t *testing.T) {
	zeros := 0
	got := decoded(written(t, mix.New(300_000, nil), 1, free, pcm.Form{Bits: 16, Channels: 1, Noise: true}), 16)
	for i, v := range got {
		if v == 0 {
			zeros++
		} else if v > 1 || v < -1 {
			t.Fatalf("frame %d of the floor of noise is %v", i, v)
		}
	}
	// A triangle of two steps rounds to zero three times in four.
	if share := float64(zeros) / 300_000; math.Abs(share-0.75) > 0.01 {
		t.Errorf("%.3f of the floor is zero", share)
	}
}

// TestWorkers: the bytes do not depend on how many make them, where the limiter
// works too, and both channels hold the same.
func TestWorkers(t *testing.T) {
	m := mix.New(300_000, []mix.Event{{At: 30_000, Samples: pulses(3), Gain: 1}, {At: 200_000, Samples: sine(300, 0.9, 1), Gain: 1}})
	for _, bits := range []int{16, 24} {
		f := pcm.Form{Bits: bits, Channels: 1}
		mono := written(t, m, 1.5, 0.891, f)
		for _, workers := range []int{1, 2, 7} {
			before := runtime.GOMAXPROCS(workers)
			again := written(t, m, 1.5, 0.891, f)
			runtime.GOMAXPROCS(before)
			if !bytes.Equal(mono, again) {
				t.Errorf("%d bits: %d workers write other bytes", bits, workers)
			}
		}
		f.Channels = 2
		stereo, n := written(t, m, 1.5, 0.891, f), bits/8
		for i := 0; i < len(mono); i += n {
			if !bytes.Equal(stereo[2*i:2*i+n], mono[i:i+n]) || !bytes.Equal(stereo[2*i+n:2*i+2*n], mono[i:i+n]) {
				t.Fatalf("%d bits: frame %d differs in stereo", bits, i/n)
			}
		}
	}
}

// TestWriteError: a failing writer ends the work, and its error comes back.
func TestWriteError(t *testing.T) {
	full := errors.New("full")
	m := mix.New(10*block, []mix.Event{{Samples: make([]float32, 10*block), Gain: 1}})
	n := 0
	master := &Master{limited: newLimited(m, 48000, 1, 1)}
	err := master.Write(pcm.Form{Bits: 16, Channels: 1}, mix.Span{From: 0, To: master.limited.mix.Frames}, nil, func([]byte) error {
		if n++; n == 3 {
			return full
		}
		return nil
	})
	if err != full || n != 3 {
		t.Errorf("%v after %d blocks", err, n)
	}
}

// TestWritingMeasures: the meter hears what is written, of the whole and of a stretch
// that begins and ends in the middle of a sound, kept or worked out.
func TestWritingMeasures(t *testing.T) {
	voice := pulses(1.5)
	var events []mix.Event
	for i := range int64(5) {
		events = append(events, mix.Event{At: 20_000 + i*150_000, Samples: voice, Gain: 1})
	}
	m := mix.New(800_000, append(events, mix.Event{At: 790_000, Samples: noise(9000, 0.5, false), Gain: 1}))
	for _, keep := range []bool{true, false} {
		l := newLimited(m, 48000, 1.5, ceiling)
		if keep {
			l.reader().keep()
		}
		x := readAll(l, 50_000)
		for _, s := range []mix.Span{{From: 0, To: m.Frames}, {From: 50_000, To: 700_000}, {From: 100_000, To: 180_001}, {From: 795_000, To: 800_000}} {
			for _, f := range []pcm.Form{{Bits: 16, Channels: 1}, {Bits: 16, Channels: 1, Noise: true}} {
				got, want := loudness.NewMeter(48000, 2), loudness.NewMeter(48000, 2)
				want.Add(x[s.From:s.To])
				if err := (&Master{limited: l}).Write(f, s, got, func([]byte) error { return nil }); err != nil {
					t.Fatal(err)
				}
				for what, v := range map[string][2]float64{"integrated": {got.Integrated(), want.Integrated()}, "range": {got.Range(), want.Range()},
					"momentary": {got.MaxMomentary(), want.MaxMomentary()}, "short-term": {got.MaxShortTerm(), want.MaxShortTerm()}} {
					if v[0] != v[1] && !(math.Abs(v[0]-v[1]) < 1e-9) {
						t.Errorf("%v, kept %v, %+v: %s is %v, want %v", s, keep, f, what, v[0], v[1])
					}
				}
			}
		}
	}
}

// broken is music that cannot be read from a frame on.
type broken int64

func (b broken) Read(dst []float32, at int64) error {
	if at+int64(len(dst)) > int64(b) {
		return errors.New("broken")
	}
	return nil
}

// TestBrokenBed ends the writing with the music's own error.
func TestBrokenBed(t *testing.T) {
	m := mix.New(200_000, nil)
	m.Lay(48000, broken(150_000), 0.1, mix.NewDuck(48000, nil, -12))
	err := New(m, 48000, nil, -20, Target{-16, -1}).Write(pcm.Form{Bits: 16, Channels: 1}, mix.Span{To: m.Frames}, nil, func([]byte) error { return nil })
	if err == nil || err.Error() != "broken" {
		t.Error(err)
	}
}
