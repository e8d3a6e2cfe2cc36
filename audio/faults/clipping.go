package faults

import (
	"cuewright/audio"
	"math"
)

// A clipped wave has flat tops. All figures were measured for this project.
const (
	topRun   = 3      // equal samples in a row that make a flat top
	topNear  = 0.999  // of the extreme, from where a sample belongs to a top
	topLeast = -12.0  // dBFS that the extreme must have: recorders clip loud, not soft
	topCount = 2      // flat tops that make a fault
	full     = 0.9999 // full scale of 16 bits and more
	fullMost = 3      // samples at full scale that make a fault

	// Where the file was squeezed afterwards the tops are no longer quite flat,
	// but the wave still dwells there: the samples from 0.9 of the extreme over
	// those from 0.5. Of good recordings 99 % have less than 0.20.
	dwellHigh, dwellLow = 0.9, 0.5
	dwellMost           = 0.25
	dwellLeast          = 50  // samples from dwellLow on, under which it says nothing
	dwellSteps          = 200 // smallest steps to the extreme; with the 128 of 8 bits rounding shows

	// A wall a little under the highest tops of a wave leaves few of them flat,
	// and these short; but no free wave turns so often at one very value, its
	// extreme. Of 278 recordings of computer voices none does, not in 8 bits either.
	touchCount = 5

	// coarse is how many of the smallest steps of the file a wave moves on both
	// sides of a flat top together. Rounding to 8 bits leaves flat tops of up to
	// three samples with less at the tops of any wave.
	coarse = 8
)

// clipped judges every channel by itself and tells the worst.
func clipped(clip audio.Clip) []Fault {
	var tops, touches, fulls int
	var dwell float64
	for c := range clip.Channels {
		w := channel(clip, c)
		loud := math.Pow(10, topLeast/20)
		low, high := bounds(w)
		step := smallestStep(w)
		n, m := 0, 0
		for sign, extreme := range map[float64]float64{1: high, -1: -low} {
			if extreme > loud {
				flat, touched := flatTops(w, sign, extreme, step)
				n, m = n+flat, m+touched
			}
			dwell = max(dwell, dwelling(w, sign, step))
		}
		tops, touches = max(tops, n), max(touches, m)
		if max(high, -low) <= 1 { // floating point has no wall there
			fulls = max(fulls, atFullScale(w))
		}
	}
	f := Fault{Kind: Clipped, Severity: Error, Advice: "the tops of the wave are cut off: record again with less input level, or further from the microphone"}
	switch {
	case tops >= topCount:
		f.Measured, f.Limit, f.Unit = float64(tops), topCount, "flat tops"
	case touches >= touchCount:
		f.Measured, f.Limit, f.Unit = float64(touches), touchCount, "equal tops"
	case fulls >= fullMost:
		f.Measured, f.Limit, f.Unit = float64(fulls), fullMost, "samples at full scale"
	case dwell > dwellMost:
		f.Measured, f.Limit, f.Unit = dwell, dwellMost, "of the wave at its tops"
	default:
		return nil
	}
	return []Fault{f}
}

func channel(clip audio.Clip, c int) []float64 {
	out := make([]float64, 0, len(clip.Samples)/clip.Channels)
	for i := c; i < len(clip.Samples); i += clip.Channels {
		out = append(out, float64(clip.Samples[i]))
	}
	return out
}

func bounds(w []float64) (low, high float64) {
	for _, v := range w {
		low, high = min(low, v), max(high, v)
	}
	return low, high
}

// smallestStep is the least difference between neighbours that differ.
func smallestStep(w []float64) float64 {
	step := math.Inf(1)
	for i := 1; i < len(w); i++ {
		if d := math.Abs(w[i] - w[i-1]); d > 0 && d < step {
			step = d
		}
	}
	return step
}

// flatTops counts the flat tops on one side of the wave, whose sign is given, and
// how often it comes to the extreme itself.
func flatTops(w []float64, sign, extreme, step float64) (flat, touched int) {
	for i := 0; i < len(w); {
		n := 1
		for i+n < len(w) && w[i+n] == w[i] {
			n++
		}
		if sign*w[i] >= topNear*extreme {
			var sides float64
			if i > 0 {
				sides += math.Abs(w[i] - w[i-1])
			}
			if i+n < len(w) {
				sides += math.Abs(w[i] - w[i+n])
			}
			if sides > coarse*step && n >= topRun {
				flat++
			}
			if sides > coarse*step && sign*w[i] == extreme {
				touched++
			}
		}
		i += n
	}
	return flat, touched
}

func atFullScale(w []float64) int {
	n := 0
	for _, v := range w {
		if math.Abs(v) >= full {
			n++
		}
	}
	return n
}

// dwelling is how much of the upper half of the wave lies at its top, on the
// side of that sign, seen from the wave's own middle.
func dwelling(w []float64, sign, step float64) float64 {
	middle := meanOf(w)
	var top float64
	for _, v := range w {
		top = max(top, sign*(v-middle))
	}
	var high, low float64
	for _, v := range w {
		switch v := sign * (v - middle); {
		case v >= dwellHigh*top:
			high++
			low++
		case v >= dwellLow*top:
			low++
		}
	}
	if low < dwellLeast || top < dwellSteps*step {
		return 0
	}
	return high / low
}
