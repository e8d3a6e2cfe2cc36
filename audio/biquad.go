package audio

import "math"

// Biquad is a second-order filter, y = B0·x + B1·x₁ + B2·x₂ − A1·y₁ − A2·y₂,
// where x₁ and y₁ stand one sample back. It holds coefficients only: every call
// of a method starts from silence, so a Biquad may be shared freely.
type Biquad struct{ B0, B1, B2, A1, A2 float64 }

// The formulas of HighPass, LowPass and HighShelf are those of Robert
// Bristow-Johnson's "Audio EQ Cookbook" (bilinear transform, with the edge
// frequency matched exactly).

// HighPass is a second-order Butterworth high-pass: −3.01 dB at hz, 12 dB an
// octave below. hz must lie between 0 and half the rate.
func HighPass(rate Rate, hz float64) Biquad {
	sin, cos := math.Sincos(angle(rate, hz))
	alpha := sin / math.Sqrt2 // sin/(2Q) with Q = 1/√2, which is Butterworth's
	return biquad((1+cos)/2, -(1 + cos), (1+cos)/2, 1+alpha, -2*cos, 1-alpha)
}

// LowPass is a second-order Butterworth low-pass: −3.01 dB at hz, 12 dB an
// octave above. hz must lie between 0 and half the rate.
func LowPass(rate Rate, hz float64) Biquad {
	sin, cos := math.Sincos(angle(rate, hz))
	alpha := sin / math.Sqrt2
	return biquad((1-cos)/2, 1-cos, (1-cos)/2, 1+alpha, -2*cos, 1-alpha)
}

// HighShelf lifts (or, for a negative gain, lowers) what lies above hz by gainDB
// decibels, with half the gain in dB at hz and the steepest slope that stays
// monotonic (S = 1). hz must lie between 0 and half the rate.
func HighShelf(rate Rate, hz, gainDB float64) Biquad {
	sin, cos := math.Sincos(angle(rate, hz))
	a := math.Pow(10, gainDB/40)
	slope := math.Sqrt(2*a) * sin // 2·√A·alpha, with alpha = sin/√2 for S = 1
	return biquad(
		a*((a+1)+(a-1)*cos+slope), -2*a*((a-1)+(a+1)*cos), a*((a+1)+(a-1)*cos-slope),
		(a+1)-(a-1)*cos+slope, 2*((a-1)-(a+1)*cos), (a+1)-(a-1)*cos-slope)
}

func angle(rate Rate, hz float64) float64 { return 2 * math.Pi * hz / float64(rate) }

func biquad(b0, b1, b2, a0, a1, a2 float64) Biquad {
	return Biquad{b0 / a0, b1 / a0, b2 / a0, a1 / a0, a2 / a0}
}

// Filter filters x in place, starting from silence.
func (q Biquad) Filter(x []float64) {
	// A state that fades away for long would become denormal, which costs a
	// hundred times the time of a normal number on many processors. So it is
	// looked at every so often and set to zero when it is inaudible; between two
	// looks even a fast filter cannot fall from there to a denormal.
	const look, inaudible = 64, 1e-30
	b0, b1, b2, a1, a2 := q.B0, q.B1, q.B2, q.A1, q.A2
	var x1, x2, y1, y2 float64
	for len(x) > 0 {
		block := x[:min(look, len(x))]
		for i, v := range block {
			// What hangs on the newest output comes last: the rest is then ready while
			// that output is still being made.
			y := b0*v + b1*x1 + b2*x2 - a2*y2 - a1*y1
			block[i] = y
			x1, x2, y1, y2 = v, x1, y, y1
		}
		if max(math.Abs(x1), math.Abs(x2), math.Abs(y1), math.Abs(y2)) < inaudible {
			x1, x2, y1, y2 = 0, 0, 0, 0
		}
		x = x[len(block):]
	}
}

// FiltFilt filters x in place forwards and then backwards, so that nothing is
// delayed and the attenuation in dB is twice that of Filter. What lies before
// and after x is taken to be silence: the forward pass runs on behind the end
// until it has died away, and the backward pass starts from there.
func (q Biquad) FiltFilt(x []float64) {
	y := make([]float64, len(x)+q.tail())
	copy(y, x)
	q.Filter(y)
	reverse(y)
	q.Filter(y)
	reverse(y)
	copy(x, y)
}

// tail is the number of samples in which the filter's ring falls by 100 dB, at
// most 65536.
func (q Biquad) tail() int {
	const most = 1 << 16
	radius := math.Sqrt(math.Abs(q.A2)) // of a pair of complex poles
	if d := q.A1*q.A1/4 - q.A2; d >= 0 {
		radius = math.Abs(q.A1)/2 + math.Sqrt(d)
	}
	switch {
	case radius >= 1:
		return most
	case radius < 1e-5:
		return 2
	}
	return min(most, int(math.Ceil(math.Log(1e-5)/math.Log(radius))))
}

func reverse(x []float64) {
	for i, j := 0, len(x)-1; i < j; i, j = i+1, j-1 {
		x[i], x[j] = x[j], x[i]
	}
}
