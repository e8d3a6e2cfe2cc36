// Package onset tells what can be said of the places of tones and clicks: whether each was
// measured, hidden or absent, and what their errors have in common.
package onset

import (
	"math"
	"slices"

	"cuewright/cues/verify/expect"
	"cuewright/cues/verify/measure"
)

// Offsets are what the errors of one kind of sound have in common.
type Offsets struct {
	Worst, Median float64 // frames
	Alike         bool    // nearly all lie within half a frame of the median
	Heard         int
}

// OffsetsOf are the statistics of errors in frames.
func OffsetsOf(offs []float64) Offsets {
	e := Offsets{Heard: len(offs)}
	if len(offs) == 0 {
		return e
	}
	sorted := slices.Clone(offs)
	slices.Sort(sorted)
	e.Median = sorted[len(sorted)/2]
	near := 0
	for _, o := range offs {
		if math.Abs(o) > math.Abs(e.Worst) {
			e.Worst = o
		}
		if math.Abs(o-e.Median) <= 1 {
			near++
		}
	}
	e.Alike = len(offs) >= 3 && near*10 >= len(offs)*9
	return e
}

// CoveredPlace is how many frames a tone under another sound may be off.
const CoveredPlace = 2.5

// A Verdict is what can be said of one due sound.
type Verdict int

const (
	Hidden  Verdict = iota // another sound makes it unmeasurable
	Placed                 // it stands out, its place can be measured
	Covered                // under another sound, to two or three frames
	Absent
	Unlike // something sounds there alone that it is not
)

// MedianGain is the gain of those sounds that stand out clearly, 0 where none does.
func MedianGain(heard []measure.Onset) float64 {
	var clear, rest []float64
	for _, f := range heard {
		switch {
		case f.Explained > 0.9:
			clear = append(clear, f.Gain)
		case f.Gain > 10*f.GainError:
			rest = append(rest, f.Gain)
		}
	}
	if len(clear) == 0 {
		clear = rest
	}
	if len(clear) == 0 {
		return 0
	}
	slices.Sort(clear)
	return clear[len(clear)/2]
}

// Judge looks at a sound. limit is how many frames it may be off; a lossy form adds noise
// of its own.
func Judge(e *expect.Expected, s *expect.Sound, f *measure.Onset, median, limit float64, lossy bool) Verdict {
	const (
		softest    = 0.5 // of the usual gain: a click is 4 dB softer under speech
		deviations = 6   // standard errors that are still taken for chance
	)
	known := 0.5 // share of the energy that must be the sound's own beside another
	clear := 0.9 // and alone
	if lossy {
		clear = 0.7
	}
	own := median * median * f.Energy // about what a usual one holds
	tone := s.Shape.IsTone()
	if !tone {
		known = 0.95 // a tone near its pitch moves a click by a frame sooner than it tells
	}
	switch {
	case e.Masked():
		return Hidden
	case f.Power <= own/10:
		return Absent
	case s.Alone && f.Explained > clear:
		return Placed
	case s.Alone:
		return Unlike
	case !tone && math.Abs(f.Off) > f.Near:
		return Hidden // rather a period of the other sound
	case f.Explained > known && f.Gain > softest*median && deviations*f.OffError < limit:
		return Placed
	case tone && f.Gain+deviations/2*f.Sideband < softest*median && deviations*f.GainError < softest*median:
		return Absent
	case tone && f.Gain > softest*median && deviations*2/3*f.OffError < max(CoveredPlace, limit):
		return Covered
	}
	return Hidden
}
