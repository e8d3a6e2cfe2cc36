package loudness

import (
	"math"

	"cuewright/audio"
)

// kFilter weights one channel as the ear and the head do (BS.1770 Annex 1): a
// shelf that lifts the high frequencies by 4 dB, and a high-pass at 38 Hz. Its
// state goes on from call to call, so that a sound may come in blocks.
type kFilter struct {
	shelf, pass audio.Biquad
	memory
}

// memory is what a kFilter still knows of what went through it.
type memory struct {
	x1, x2 float64 // input, one and two samples back
	y1, y2 float64 // between shelf and high-pass
	z1, z2 float64 // output
}

// newKFilter makes the filter for a rate, which must be positive. It starts from
// silence.
func newKFilter(rate audio.Rate) *kFilter {
	shelf, pass := kWeighting(rate)
	return &kFilter{shelf: shelf, pass: pass}
}

// kWeighting gives the two stages of the K-weighting at a rate. BS.1770 tables
// them for 48 kHz only; the analogue prototypes behind that table, by which it
// comes back to the last digit and every other rate follows by the bilinear
// transform, are those that libebur128 uses (ebur128.c, ebur128_init_filter).
func kWeighting(rate audio.Rate) (shelf, pass audio.Biquad) {
	const (
		shelfHz, shelfQ = 1681.974450955533, 0.7071752369554196
		shelfDB         = 3.999843853973347
		middlePower     = 0.4996667741545416 // of the gain that holds at shelfHz
		passHz, passQ   = 38.13547087602444, 0.5003270373238773
	)
	k := math.Tan(math.Pi * shelfHz / float64(rate))
	high := math.Pow(10, shelfDB/20)
	middle := math.Pow(high, middlePower)
	a0 := 1 + k/shelfQ + k*k
	shelf = audio.Biquad{
		B0: (high + middle*k/shelfQ + k*k) / a0,
		B1: 2 * (k*k - high) / a0,
		B2: (high - middle*k/shelfQ + k*k) / a0,
		A1: 2 * (k*k - 1) / a0,
		A2: (1 - k/shelfQ + k*k) / a0,
	}
	k = math.Tan(math.Pi * passHz / float64(rate))
	a0 = 1 + k/passQ + k*k
	pass = audio.Biquad{
		B0: 1, B1: -2, B2: 1, // not divided by a0: the table leaves them so
		A1: 2 * (k*k - 1) / a0,
		A2: (1 - k/passQ + k*k) / a0,
	}
	return shelf, pass
}

// energy is the sum of the squares of the weighted samples. Divided by the count
// of a span it is the mean square that lufs takes.
//
// A ring that has fallen below 10⁻¹² (-240 dB) is cut off, which happens some
// 120 ms into silence; from there on silence costs next to nothing.
func (k *kFilter) energy(samples []float32) float64 {
	const look = 256 // samples between two looks at the state
	var sum float64
	for len(samples) > 0 {
		block := samples[:min(look, len(samples))]
		samples = samples[len(block):]
		if k.silent(0) && isZero(block) {
			continue
		}
		sum += k.run(block)
		if k.silent(1e-12) {
			k.memory = memory{}
		}
	}
	return sum
}

func (k *kFilter) run(block []float32) (sum float64) {
	b0, b1, b2, a1, a2 := k.shelf.B0, k.shelf.B1, k.shelf.B2, k.shelf.A1, k.shelf.A2
	c1, c2 := k.pass.A1, k.pass.A2
	x1, x2, y1, y2, z1, z2 := k.x1, k.x2, k.y1, k.y2, k.z1, k.z2
	for _, s := range block {
		// What hangs on the newest output comes last in each sum: the rest is
		// then ready while that output is still being made.
		x := float64(s)
		y := b0*x + b1*x1 + b2*x2 - a2*y2 - a1*y1
		z := y - 2*y1 + y2 - c2*z2 - c1*z1
		sum += z * z
		x1, x2, y1, y2, z1, z2 = x, x1, y, y1, z, z1
	}
	k.memory = memory{x1, x2, y1, y2, z1, z2}
	return sum
}

// silent reports whether no part of the state is larger than limit.
func (k *memory) silent(limit float64) bool {
	return math.Abs(k.x1) <= limit && math.Abs(k.x2) <= limit &&
		math.Abs(k.y1) <= limit && math.Abs(k.y2) <= limit &&
		math.Abs(k.z1) <= limit && math.Abs(k.z2) <= limit
}

func isZero(x []float32) bool {
	for _, v := range x {
		if v != 0 {
			return false
		}
	}
	return true
}

// lufs is the loudness of a mean square of K-weighted samples, already weighted
// and summed over the channels (BS.1770 equation 2): -0.691 + 10·log10(z), and
// -Inf for 0.
func lufs(meanSquare float64) float64 { return -0.691 + 10*math.Log10(meanSquare) }
