package loudness

import "math"

// interpolator holds two of the four phases of the 48-tap filter of BS.1770-5
// Annex 2, newest sample first. The other two are these reversed: phase 3 is
// phase 0, and phase 2 is phase 1.
var interpolator = [2][taps]float32{
	{0.001708984375, 0.010986328125, -0.0196533203125, 0.033203125, -0.0594482421875, 0.1373291015625,
		0.97216796875, -0.102294921875, 0.047607421875, -0.026611328125, 0.014892578125, -0.00830078125},
	{-0.0291748046875, 0.029296875, -0.0517578125, 0.089111328125, -0.16650390625, 0.465087890625,
		0.77978515625, -0.2003173828125, 0.1015625, -0.0582275390625, 0.0330810546875, -0.0189208984375},
}

const (
	taps    = 12       // of each phase
	history = taps - 1 // samples before the newest that a phase reaches back
)

// even and odd are the halves of the phases that stay and that change sign when
// time is turned round: a phase is even + odd and its mirror even - odd, so the
// larger of both magnitudes is |even| + |odd|, at half the multiplications.
var even, odd [2][taps / 2]float32

// reach is the most by which any phase can exceed the largest of its samples:
// the largest sum of the taps' magnitudes, about 2.03.
var reach float32

func init() {
	for p, phase := range interpolator {
		var sum float32
		for t, tap := range phase {
			sum += abs(tap)
			if t < taps/2 {
				even[p][t] = (tap + phase[history-t]) / 2
				odd[p][t] = (tap - phase[history-t]) / 2
			}
		}
		reach = max(reach, sum)
	}
	reach *= 1 + 1e-5 // rounding inside interpolated must not get past the bound
}

// PeakMeter finds the true peak of one channel: the largest magnitude among the
// samples and the points that the four-fold interpolator of BS.1770-5 Annex 2
// puts between them. (The interpolator itself never lands on a sample.) Its state
// goes on from block to block; the zero value is ready, and starts from silence.
//
// The filter is made for 48 kHz, where it reads at most 0.55 dB low below 0.45 of
// the rate. It works at other rates by the same proportion, though BS.1770 wants
// at least 192 kHz behind the interpolation before the unit dBTP is used.
type PeakMeter struct {
	peak float32
	past [history]float32 // the last samples, oldest first
}

// Add measures a further block.
func (p *PeakMeter) Add(block []float32) {
	// The first outputs of a block reach back into the one before it.
	var seam [2 * history]float32
	copy(seam[:], p.past[:])
	n := copy(seam[history:], block)
	p.scan(seam[:history+n])
	copy(p.past[:], seam[n:])

	const stride = 64
	for i := history; i < len(block); i += stride {
		p.scan(block[i-history : min(i+stride, len(block))])
	}
	if len(block) >= history {
		copy(p.past[:], block[len(block)-history:])
	}
}

// Peak is the true peak so far as a linear magnitude (1 is full scale; the level
// in dBTP is 20·log10 of it), as if silence followed. It is 0 before any sound.
func (p *PeakMeter) Peak() float64 {
	end := *p
	end.Add(make([]float32, history))
	return float64(end.peak)
}

// scan measures x from its history'th sample on; those before only lead in.
func (p *PeakMeter) scan(x []float32) {
	most := magnitude(x)
	peak := max(p.peak, most)
	if most*reach > peak {
		for ; len(x) >= taps; x = x[1:] {
			if y := interpolated((*[taps]float32)(x)); y > peak {
				peak = y
			}
		}
	}
	p.peak = peak
}

// interpolated is the largest magnitude of the four points that the filter finds
// at the newest of x, which is the last.
func interpolated(x *[taps]float32) float32 {
	var e0, o0, e1, o1 float32
	for t := range taps / 2 {
		sum, difference := x[history-t]+x[t], x[history-t]-x[t]
		e0 += even[0][t] * sum
		o0 += odd[0][t] * difference
		e1 += even[1][t] * sum
		o1 += odd[1][t] * difference
	}
	return max(abs(e0)+abs(o0), abs(e1)+abs(o1))
}

// magnitude is the largest of x without its sign.
func magnitude(x []float32) float32 {
	// The bits of a float without its sign sort as the magnitudes do, and whole
	// numbers are compared faster.
	var bits uint32
	for _, v := range x {
		bits = max(bits, math.Float32bits(v)&^(1<<31))
	}
	return math.Float32frombits(bits)
}

func abs(x float32) float32 { return math.Float32frombits(math.Float32bits(x) &^ (1 << 31)) }
