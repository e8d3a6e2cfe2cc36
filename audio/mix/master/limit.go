package master

import (
	"math"
	"time"

	"cuewright/audio"
	"cuewright/audio/loudness"
	"cuewright/audio/mix"
)

// The course of the limiter's gain: down over attack before a peak, down for hold
// after it, and up again by a steady share of full scale in each frame, so that a
// gain of 0 would need all of release, 3 dB need 58 ms and 6 dB 100 ms.
//
// Measured with the demo voice at 3 and at 6 dB of limiting. What the limiter
// adds to 20 ms of voice beside a change of level stands 26.7 and 25.8 dB under it;
// a rise within the attack's time without hold leaves only 22.4 and 18.7 dB, and an
// attack of 1.5 ms is 0.8 to 1 dB worse. The voice loses 0.22 and 0.85 LU, which the
// gain gives back. Hold is longer than a period of the lowest voice (70 Hz), so
// that a steady sound is scaled, not bent: harmonics of a tone 3 dB over the
// ceiling stand 155 dB under it at 1 kHz and 167 dB at 60 and 100 Hz; without hold
// 53 dB at 60 Hz.
const (
	attack  = 5 * time.Millisecond
	hold    = 15 * time.Millisecond
	release = 200 * time.Millisecond
)

// margin keeps the ceiling where a gain that is not quite constant moves a peak
// between two samples, linear: 0.05 dB.
const margin = 0.9943

// The interpolator of the standard has four points a frame, which at low rates is far
// from the 192 kHz that it asks for (BS.1770-5 Annex 2): under fine a meter with more
// points finds up to 0.4 dB more in a voice, which coarse keeps free (measured with
// the demo voice at 16, 22.05 and 24 kHz).
const (
	fine   audio.Rate = 32000
	coarse            = 0.955
)

// A limiter is a mix times a gain whose true peaks stay under a ceiling. It looks
// ahead and gives the delay back: frame k stays frame k. The gain of a frame
// depends on the frames around it only, from lead before to tail after it, and
// is exactly 1 where none of them exceeds the ceiling, so blocks can be read in
// any order, by any number of workers, with the same result.
type limiter struct {
	mix        *mix.Mix
	rate       audio.Rate
	gain       float32
	ceiling    float32 // linear
	box        int     // frames of each of the two averages that smooth the gain
	hold       int     // frames
	rise       int32   // of the gain in a frame as it comes back, in parts of one
	lead, tail int     // frames
	islands    []island
	least      float32                       // the least gain applied in what is kept of them
	known      map[int]*loudness.Prefiltered // of those kept
}

func newLimited(m *mix.Mix, rate audio.Rate, gain, ceiling float32) *limiter {
	l := &limiter{mix: m, rate: rate, least: 1, known: map[int]*loudness.Prefiltered{}}
	l.set(gain, ceiling)
	l.box = max(1, int(rate.Frame(attack/2)))
	l.hold = int(rate.Frame(hold))
	back := max(2, int(rate.Frame(release)))
	l.rise = int32((one + back - 1) / back) // rounded up: back frames must be enough
	l.tail = 2*(l.box-1) + loudness.Support
	l.lead = l.tail + l.hold + back
	for _, s := range m.Islands(int64(l.lead)) {
		l.islands = append(l.islands, island{Island: s})
	}
	return l
}

// set changes gain and ceiling. What is kept must then be worked out again.
func (l *limiter) set(gain, ceiling float32) {
	l.gain, l.ceiling = gain, l.under(ceiling)
}

// under is how high a peak may be that a ceiling shall hold.
func (l *limiter) under(ceiling float32) float32 {
	if l.rate < fine {
		ceiling *= coarse
	}
	return ceiling * margin
}

// A reader reads a limited mix with buffers of its own.
type reader struct {
	*limiter
	around  []float32 // the block with its lead and tail
	needed  []int32   // the gain each frame of it needs, in parts of one
	lowest  []int32   // the least of those around, and what comes back after it
	average []int64
	queue   []int32
	loud    []mix.Span
	block   []float32
	least   float32 // the least gain applied so far
}

func (l *limiter) reader() *reader { return &reader{limiter: l, least: 1} }

// one is a gain of 1 as a whole number: sums of whole numbers are exact, so that
// a running average does not remember where it was begun.
const one = 1 << 30

// Read fills dst, which lies within the mix, with the limited mix from frame at on.
func (r *reader) Read(dst []float32, at int64) {
	clear(dst)
	end := at + int64(len(dst))
	for i := r.after(at); i < len(r.islands) && r.islands[i].From < end; i++ {
		from, to := max(r.islands[i].From, at), min(r.islands[i].To, end)
		copy(dst[from-at:to-at], r.part(i, dst[from-at:to-at], from))
	}
}

// part is as much of an island from a frame on as dst holds: what is kept of it, or
// else worked out in dst.
func (r *reader) part(i int, dst []float32, from int64) []float32 {
	s := &r.islands[i]
	if s.cached != nil {
		return s.cached[from-s.From:][:len(dst)]
	}
	r.limit(dst, from)
	return dst
}

// limit works out what Read reads, within one island.
func (r *reader) limit(dst []float32, at int64) {
	if math.IsInf(float64(r.ceiling), 1) {
		r.mix.Read(dst, at)
		scale(dst, r.gain)
		return
	}
	n := r.lead + len(dst) + r.tail
	if cap(r.around) < n {
		r.around, r.needed, r.lowest = make([]float32, n), make([]int32, n), make([]int32, n)
		r.average, r.queue = make([]int64, n), make([]int32, n)
		fill(r.needed, one)
	}
	x := r.around[:n]
	r.mix.Read(x, at-int64(r.lead))
	loud := r.amplify(x)
	copy(dst, x[r.lead:])
	if len(loud) == 0 {
		return
	}
	needed := r.needed[:n] // one between two calls
	// The first frame of x that is over the ceiling, and the last whose gain hangs on
	// those found so far.
	first, until := n, -1
	smooth := func() {
		if until < 0 {
			return
		}
		from, to := max(r.lead, first-r.tail), min(r.lead+len(dst), until+1)
		if from < to {
			start := max(0, first-r.tail-r.box)
			r.smooth(dst[from-r.lead:to-r.lead], needed[start:to+r.tail], from-start)
		}
		fill(needed[first:min(n, until+1)], one)
		first, until = n, -1
	}
	for _, s := range loud {
		loudness.Overs(x[s.From:s.To], r.ceiling, func(i int, peak float32) {
			i += int(s.From)
			if i-r.tail-loudness.Support > until {
				smooth() // what comes from here on has no part in what came so far
			}
			needed[i] = min(needed[i], int32(float64(r.ceiling)/float64(peak)*one))
			first = min(first, i)
			until = max(until, i+r.tail+r.hold+int((one-needed[i])/r.rise)+1)
		})
	}
	smooth()
}

func fill(x []int32, v int32) {
	for i := range x {
		x[i] = v
	}
}

// amplify multiplies x by the gain and returns the parts outside which no true peak
// can be over the ceiling.
func (r *reader) amplify(x []float32) []mix.Span {
	const stride, beside = 256, 2 * loudness.Support
	loud := r.loud[:0]
	for from := 0; from < len(x); from += stride {
		to := min(from+stride, len(x))
		if scale(x[from:to], r.gain)*loudness.MaxOvershoot() <= r.ceiling {
			continue
		}
		s := mix.Span{From: int64(max(0, from-beside)), To: int64(min(len(x), to+beside))}
		if n := len(loud); n > 0 && s.From <= loud[n-1].To {
			loud[n-1].To = s.To
		} else {
			loud = append(loud, s)
		}
	}
	r.loud = loud
	return loud
}

// scale multiplies x by a gain and returns the largest magnitude that comes out.
func scale(x []float32, gain float32) float32 {
	// The bits of a float without its sign sort as the magnitudes do, and whole
	// numbers are compared faster.
	var bits uint32
	for i, v := range x {
		v = float32(v * gain)
		x[i] = v
		bits = max(bits, math.Float32bits(v)&^(1<<31))
	}
	return math.Float32frombits(bits)
}

// smooth applies the gains needed, which begin a box or more before dst and end tail
// after it, to dst. The least needed from hold before to attack after each frame, with a
// steady rise behind it, is averaged twice over half the attack, which makes a
// triangle that has come down by the peak.
func (r *reader) smooth(dst []float32, needed []int32, before int) {
	lowest := r.lowest[:len(needed)]
	r.envelope(lowest, needed)
	// Two averages over r.box frames, the first looking back and the second ahead.
	average := r.average[:len(needed)]
	var sum int64
	for i := range average {
		sum += int64(lowest[i])
		if i >= r.box {
			sum -= int64(lowest[i-r.box])
		}
		average[i] = sum
	}
	w := r.box - 1
	whole := float64(r.box) * float64(r.box) * one
	sum = 0
	for k := range w {
		sum += average[before+k]
	}
	for i := range dst {
		sum += average[before+i+w]
		g := float32(float64(sum) / whole)
		sum -= average[before+i]
		if g < 1 {
			dst[i] = float32(dst[i] * g)
			r.least = min(r.least, g)
		}
	}
}

// envelope makes lowest[i] the least of needed[i-w-hold : i+w+1], w being box-1,
// and no more than a rise above lowest[i-1].
func (r *reader) envelope(lowest, needed []int32) {
	w := r.box - 1
	// The queue holds the places that can still be the least, in rising order.
	queue, first, end, next := r.queue, 0, 0, 0
	before := int32(one)
	for i := range lowest {
		for ; next < len(needed) && next <= i+w; next++ {
			for end > first && needed[queue[end-1]] >= needed[next] {
				end--
			}
			queue[end] = int32(next)
			end++
		}
		for int(queue[first]) < i-w-r.hold {
			first++
		}
		// At most one and a half: an int32 holds almost two.
		before = min(needed[queue[first]], before+r.rise)
		lowest[i] = before
	}
}
