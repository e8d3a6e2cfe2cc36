package audio

import (
	"math"
	"sync"
)

// Resample turns s into the rate to, without delay: sample 0 stays at time 0,
// and n samples become ⌈n·to/from⌉. Silence is taken to stand around s. At the
// same rate s itself is returned, sharing its samples.
//
// The filter is a sinc under a Kaiser window, one set of 48 taps (at the lower
// of both rates) for each place between two samples. Signals up to 0.4 of the
// lower rate come back with at least 100 dB between them and every error, images
// and aliases of them included; what lies above falls off through the transition
// band, which ends at 0.54. Resample is safe for concurrent use, and panics if a
// rate is not positive.
func Resample(s Sound, to Rate) Sound {
	if s.Rate <= 0 || to <= 0 {
		panic("audio: rates must be positive")
	}
	if s.Rate == to {
		return s
	}
	return Sound{to, kernelFor(s.Rate, to).apply(s.Samples)}
}

const (
	tapsAtLower = 48    // taps for each output sample, counted at the lower rate
	rejection   = 108.0 // dB, of the window's side lobes

	// passEdge is where the flat band ends, in parts of the lower rate.
	passEdge = 0.4

	// A ratio whose exact table would hold more taps than this gets a table of
	// evenly spaced places, with a straight line drawn between two of them.
	maxTaps = 1 << 18

	// linePlaces is how many places a span of one sample (at the lower rate) then
	// has. A line through a sinc misses it by at most (π/places)²/8: -131 dB.
	linePlaces = 2048
)

// kernel is the prepared filter of one ratio up/down, in lowest terms.
type kernel struct {
	up, down int64
	half     int         // taps on each side of an output sample, a multiple of 8
	taps     [][]float32 // one row of 2·half taps a place, each with a sum of 1
	exact    bool        // row p stands at p/up; otherwise at p/(len(taps)-1)
}

// kernels keeps the kernels made so far, by ratio. There are as many as there
// are pairs of rates in the recordings used, and none is above 1 MiB or so.
var kernels sync.Map // [2]int64 → func() *kernel

func kernelFor(from, to Rate) *kernel {
	d := gcd(int64(from), int64(to))
	ratio := [2]int64{int64(to) / d, int64(from) / d}
	make, ok := kernels.Load(ratio)
	if !ok {
		make, _ = kernels.LoadOrStore(ratio, sync.OnceValue(func() *kernel {
			return newKernel(ratio[0], ratio[1])
		}))
	}
	return make.(func() *kernel)()
}

func newKernel(up, down int64) *kernel {
	lower := math.Min(1, float64(up)/float64(down)) // in parts of the input rate
	k := &kernel{up: up, down: down, half: 8 * int(math.Ceil(tapsAtLower/2/lower/8))}

	// Kaiser's formulas: the window's shape from the rejection, and the width of
	// the transition from both rejection and length. See Oppenheim and Schafer,
	// Discrete-Time Signal Processing, section 7.5.3.
	beta := 0.1102 * (rejection - 8.7)
	width := (rejection - 7.95) / (2.285 * 2 * math.Pi * float64(2*k.half) * lower)
	cutoff := (passEdge + width/2) * lower

	places := up
	k.exact = up*int64(2*k.half) <= maxTaps
	if !k.exact {
		places = int64(math.Ceil(linePlaces*lower)) + 1
	}
	k.taps = make([][]float32, places)
	all := make([]float32, places*int64(2*k.half))
	row := make([]float64, 2*k.half)
	for p := range k.taps {
		place := float64(p) / float64(up)
		if !k.exact {
			place = float64(p) / float64(places-1)
		}
		var sum float64
		for i := range row {
			x := float64(i-k.half+1) - place
			row[i] = sinc(2*cutoff*x) * kaiser(x/float64(k.half), beta)
			sum += row[i]
		}
		k.taps[p], all = all[:2*k.half], all[2*k.half:]
		for i, v := range row {
			k.taps[p][i] = float32(v / sum)
		}
	}
	return k
}

// apply resamples in.
func (k *kernel) apply(in []float32) []float32 {
	r := Resampler{kernel: k, around: make([]float32, 0, len(in)+2*k.half), limit: k.length(int64(len(in)))}
	r.around = append(append(r.around, make([]float32, k.half-1)...), in...)
	r.around = append(r.around, make([]float32, k.half+1)...)
	return r.run(make([]float32, 0, r.limit))
}

// length is how many samples n become.
func (k *kernel) length(n int64) int64 { return (n*k.up + k.down - 1) / k.down }

// A Resampler turns a long sound into another rate block by block, into the very
// samples that [Resample] would give. The zero value is not ready for use.
type Resampler struct {
	kernel *kernel
	around []float32 // the input that is still needed, half-1 samples before the next output
	// The next output stands at whole input samples of around and a rest in 1/up.
	whole, rest int64
	taken       int64 // input samples so far
	made        int64 // output samples so far
	limit       int64 // of output samples, as long as the input may still go on
}

// NewResampler makes a Resampler. It panics if a rate is not positive.
func NewResampler(from, to Rate) *Resampler {
	if from <= 0 || to <= 0 {
		panic("audio: rates must be positive")
	}
	r := &Resampler{limit: math.MaxInt64}
	if from != to {
		r.kernel = kernelFor(from, to)
		r.around = make([]float32, r.kernel.half-1)
	}
	return r
}

// Add takes the next samples and appends to out what they bring.
func (r *Resampler) Add(out, in []float32) []float32 {
	if r.kernel == nil {
		return append(out, in...)
	}
	r.taken += int64(len(in))
	r.around = append(r.around, in...)
	out = r.run(out)
	n := copy(r.around, r.around[r.whole:])
	r.around, r.whole = r.around[:n], 0
	return out
}

// End appends what is still to come when the sound has ended.
func (r *Resampler) End(out []float32) []float32 {
	if r.kernel == nil {
		return out
	}
	r.limit = r.kernel.length(r.taken)
	r.around = append(r.around, make([]float32, r.kernel.half+1)...)
	return r.run(out)
}

// run appends the output for which all input is there.
func (r *Resampler) run(out []float32) []float32 {
	k := r.kernel
	// Output sample i stands at i·down/up: whole input samples and a rest, kept
	// as integers so that nothing drifts.
	stepWhole, stepRest := k.down/k.up, k.down%k.up
	whole, rest := r.whole, r.rest
	for last := int64(len(r.around) - 2*k.half); whole <= last && r.made < r.limit; r.made++ {
		x := r.around[whole : whole+int64(2*k.half)]
		if k.exact {
			out = append(out, dot(x, k.taps[rest]))
		} else {
			place := float64(rest) / float64(k.up) * float64(len(k.taps)-1)
			p := int(place)
			a, b := dot(x, k.taps[p]), dot(x, k.taps[p+1])
			out = append(out, a+float32(place-float64(p))*(b-a))
		}
		whole += stepWhole
		if rest += stepRest; rest >= k.up {
			rest -= k.up
			whole++
		}
	}
	r.whole, r.rest = whole, rest
	return out
}

// dot is the sum of a[i]·b[i] over a multiple of 16 taps. Four sums run side by
// side, since one alone would wait for its own last addition at every step, and
// going by 16 leaves little time to the checks of bounds.
func dot(a, b []float32) float32 {
	var s0, s1, s2, s3 float32
	for len(a) >= 16 && len(b) >= 16 {
		p, q := (*[16]float32)(a), (*[16]float32)(b)
		s0 += p[0]*q[0] + p[4]*q[4] + p[8]*q[8] + p[12]*q[12]
		s1 += p[1]*q[1] + p[5]*q[5] + p[9]*q[9] + p[13]*q[13]
		s2 += p[2]*q[2] + p[6]*q[6] + p[10]*q[10] + p[14]*q[14]
		s3 += p[3]*q[3] + p[7]*q[7] + p[11]*q[11] + p[15]*q[15]
		a, b = a[16:], b[16:]
	}
	return (s0 + s1) + (s2 + s3)
}

func sinc(x float64) float64 {
	if x == 0 {
		return 1
	}
	return math.Sin(math.Pi*x) / (math.Pi * x)
}

// kaiser is Kaiser's window over -1 < x < 1, not yet scaled.
func kaiser(x, beta float64) float64 {
	if x <= -1 || x >= 1 {
		return 0
	}
	return bessel(beta * math.Sqrt(1-x*x))
}

// bessel is the modified Bessel function of the first kind of order 0, from its
// power series.
func bessel(x float64) float64 {
	sum, term := 1.0, 1.0
	for k := 1.0; term > 1e-18*sum; k++ {
		term *= (x / 2 / k) * (x / 2 / k)
		sum += term
	}
	return sum
}

func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}
