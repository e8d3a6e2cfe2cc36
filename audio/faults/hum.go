package faults

import (
	"math"
	"time"
)

// Hum of the mains is a row of lines at 50 or 60 Hz and its multiples. It is
// looked for where nobody speaks. All figures were measured for this project.
const (
	humLines  = 4   // multiples looked at, the mains themselves among them
	humWithin = 1.0 // Hz that a line may lie beside its place
	humTries  = 5   // places tried within

	humLeast = 250 * time.Millisecond // of silence, so that lines can be told from noise
	humMost  = time.Second            // is enough

	lineOver  = 9.0   // dB over its neighbours, from where a line counts
	clearOver = 12.0  // dB that one line at least must be over them
	humLimit  = -45.0 // dB of all lines together re the words
	humHeard  = -30.0 // dB from where it is heard to start and stop with every word (our choice)
)

// besideLine are the places of the neighbours in widths of a line (the inverse of
// the time looked at): behind the main lobe of the window, which is 2 wide, and
// well before the next multiple.
var besideLine = []float64{-4.5, -3.5, -2.5, 2.5, 3.5, 4.5}

func hum(r *recording) []Fault {
	x := longer(r.silence[0], r.silence[1])
	if len(x) < r.samples(humLeast) {
		return nil
	}
	x = windowed(x[:min(len(x), r.samples(humMost))])
	strongest := max(linesAt(x, float64(r.rate), 50), linesAt(x, float64(r.rate), 60))
	level := power(strongest) - r.speechDB
	if level <= humLimit {
		return nil
	}
	f := Fault{Hum, Warning, level, humLimit, "dB to the words", "the mains hum: record away from chargers, lamps and fridges, or on battery"}
	if level > humHeard {
		f.Severity, f.Limit = Error, humHeard
	}
	return []Fault{f}
}

func longer(a, b []float64) []float64 {
	if len(a) >= len(b) {
		return a
	}
	return b
}

// linesAt is the power of the lines of a mains frequency in windowed samples, 0
// where none is clear.
func linesAt(x []float64, rate, mains float64) float64 {
	width := rate / float64(len(x))
	var sum, clear float64
	for k := 1.0; k <= humLines; k++ {
		var line, beside float64
		for i := range humTries {
			offset := humWithin * (2*float64(i)/(humTries-1) - 1)
			line = max(line, goertzel(x, (k*mains+offset)/rate))
		}
		for _, widths := range besideLine {
			beside += goertzel(x, (k*mains+widths*width)/rate) / float64(len(besideLine))
		}
		if over := 10 * math.Log10(line/beside); over >= lineOver {
			sum += line
			clear = max(clear, over)
		}
	}
	if clear <= clearOver {
		return 0
	}
	return sum
}

// windowed is x without its mean under a window of Hann, scaled so that a sine
// keeps its amplitude for goertzel.
func windowed(x []float64) []float64 {
	out := make([]float64, len(x))
	mean := meanOf(x)
	for i, v := range x {
		out[i] = (v - mean) * (1 - math.Cos(2*math.Pi*(float64(i)+0.5)/float64(len(x))))
	}
	return out
}

// goertzel is the power of the sine of so many turns a sample that x holds
// (Goertzel 1958, American Mathematical Monthly 65:34).
func goertzel(x []float64, turns float64) float64 {
	c := 2 * math.Cos(2*math.Pi*turns)
	var s1, s2 float64
	for _, v := range x {
		s1, s2 = v+c*s1-s2, s1
	}
	n := float64(len(x))
	return 2 * (s1*s1 + s2*s2 - c*s1*s2) / (n * n)
}
