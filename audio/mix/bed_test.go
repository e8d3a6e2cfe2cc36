package mix

import (
	"errors"
	"math"
	"testing"
)

// constant is music of one sample, with a place at which it breaks.
type constant struct{ breaks int64 }

func (c constant) Read(dst []float32, at int64) error {
	for i := range dst {
		dst[i] = 0.5
	}
	if c.breaks >= at && c.breaks < at+int64(len(dst)) {
		return errors.New("broken")
	}
	return nil
}

// TestBedsCourse: faded at both ends, down by its duck under speech, at its level
// elsewhere, the same in blocks of any size, and never a step.
func TestBedsCourse(t *testing.T) {
	const frames = 30 * 48000
	spoken := []Span{{12 * 48000, 14 * 48000}}
	m := New(frames, nil)
	m.Lay(48000, constant{-1}, 0.8, NewDuck(48000, spoken, -12))
	x := make([]float32, frames)
	m.Read(x, 0)
	for at := int64(-100); at < frames; {
		n := min(1+(at*7919)%40_000, frames+200-at)
		if n < 1 {
			n = 200
		}
		block := make([]float32, n)
		m.Read(block, at)
		for i, v := range block {
			want := float32(0)
			if k := at + int64(i); k >= 0 && k < frames {
				want = x[k]
			}
			if v != want {
				t.Fatalf("frame %d is %v in a block from %d, %v in the whole", at+int64(i), v, at, want)
			}
		}
		at += n
	}
	for _, c := range []struct {
		seconds, want float64
	}{
		{0, 0}, {1.5, 0.5 * 0.5}, {3, 0.5}, {8, 0.5}, {11.74, 0.5}, {12, 0.5 * math.Pow(10, -12.0/20)}, {14.39, 0.5 * math.Pow(10, -12.0/20)},
		{14.8, 0.5 * math.Pow(10, -6.0/20)}, {15.21, 0.5}, {24, 0.5}, {27, 0.25}, {29.99999, 0},
	} {
		if got := float64(x[int(c.seconds*48000)]); math.Abs(got-0.8*c.want) > 1e-4 {
			t.Errorf("at %v s: %.5f, want %.5f", c.seconds, got, 0.8*c.want)
		}
	}
	for i := 1; i < frames; i++ {
		if d := math.Abs(float64(x[i] - x[i-1])); d > 1e-4 {
			t.Fatalf("a step of %g at frame %d", d, i)
		}
	}
	if s := m.Spans(); len(s) != 1 || s[0] != (Span{0, frames}) {
		t.Errorf("sounds at %v", s)
	}
}

// TestBedsError: what the music cannot read is silent, and its first error is kept.
func TestBedsError(t *testing.T) {
	m := New(200_000, nil)
	m.Lay(48000, constant{150_000}, 0.1, NewDuck(48000, nil, -12))
	x := make([]float32, 1000)
	if m.Read(x, 149_000); m.BedError() != nil || x[500] == 0 {
		t.Errorf("before it breaks: %v, %v", m.BedError(), x[500])
	}
	if m.Read(x, 149_500); m.BedError() == nil || m.BedError().Error() != "broken" || x[0] != 0 {
		t.Errorf("%v, %v", m.BedError(), x[0])
	}
}
