package mix

import (
	"time"

	"cuewright/audio"
	"cuewright/audio/loudness"
)

// The limiter's gain goes down over attack before a peak, stays down for hold
// after it, so that the pulses of a voice (every 3 to 14 ms) do not each make a
// dip of their own, and comes back as fast as it went. Common practice. A steady
// tone over the ceiling is thus only scaled, not bent.
const (
	attack = 5 * time.Millisecond
	hold   = 30 * time.Millisecond
)

// margin keeps the ceiling where a gain that is not quite constant moves a peak
// between two samples, linear: 0.05 dB.
const margin = 0.9943

// A limited is a mix times a gain whose true peaks stay under a ceiling. It looks
// ahead and gives the delay back: frame k stays frame k. The gain of a frame
// depends on a few frames around it only, and is exactly 1 where none of them
// exceeds the ceiling, so blocks can be read in any order, by any number of
// workers, with the same result.
type limited struct {
	mix     *Mix
	gain    float32
	ceiling float32 // linear
	box     int     // frames of each of the two averages that smooth the gain
	hold    int
}

func newLimited(m *Mix, rate audio.Rate, gain, ceiling float32) *limited {
	return &limited{m, gain, ceiling * margin, max(1, int(rate.Frame(attack/2))), int(rate.Frame(hold))}
}

// lead and tail are the frames before and after a block that its gain depends on.
func (l *limited) lead() int { return 2*(l.box-1) + l.hold + loudness.Margin }
func (l *limited) tail() int { return 2*(l.box-1) + loudness.Margin }

// A reader reads a limited mix with buffers of its own.
type reader struct {
	*limited
	around  []float32 // the block with its lead and tail
	needed  []int32   // the gain each frame needs, as a share of one
	lowest  []int32   // the least of those around
	average []int64
	queue   []int
	block   []float32
	least   float32 // the least gain applied so far
}

func (l *limited) reader() *reader { return &reader{limited: l, least: 1} }

// one is a gain of 1 as a whole number: sums of whole numbers are exact, so that
// a running average does not remember where it was begun.
const one = 1 << 30

// Read fills dst, which lies within the mix, with the limited mix from frame at on.
func (r *reader) Read(dst []float32, at int64) {
	lead, tail := r.lead(), r.tail()
	n := lead + len(dst) + tail
	if cap(r.around) < n {
		r.around, r.needed, r.lowest, r.average = make([]float32, n), make([]int32, n), make([]int32, n), make([]int64, n)
		r.queue = make([]int, n)
	}
	x := r.around[:n]
	r.mix.Read(x, at-int64(lead))
	var most float32
	for i, v := range x {
		v = float32(v * r.gain)
		x[i] = v
		most = max(most, v, -v)
	}
	copy(dst, x[lead:])
	if most*loudness.Reach() <= r.ceiling {
		return
	}
	needed := r.needed[:n]
	for i := range needed {
		needed[i] = one
	}
	over := false
	loudness.Overs(x, r.ceiling, func(i int, peak float32) {
		over = true
		needed[i] = min(needed[i], int32(float64(r.ceiling)/float64(peak)*one))
	})
	if !over {
		return
	}
	r.smooth(dst, needed, lead)
}

// smooth applies the gains to dst, which lies in needed from lead on: the least
// gain needed from hold before to attack after each frame, averaged twice over
// half the attack, which makes a triangle that has come down by the peak.
func (r *reader) smooth(dst []float32, needed []int32, lead int) {
	w := r.box - 1
	lowest := r.lowest[:len(needed)]
	// lowest[i] is the least of needed[i-w-hold : i+w+1].
	// The queue holds the places that can still be the least, in rising order.
	queue, first, end, next := r.queue, 0, 0, 0
	for i := range lowest {
		for ; next < len(needed) && next <= i+w; next++ {
			for end > first && needed[queue[end-1]] >= needed[next] {
				end--
			}
			queue[end] = next
			end++
		}
		for queue[first] < i-w-r.hold {
			first++
		}
		lowest[i] = needed[queue[first]]
	}
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
	whole := float64(r.box) * float64(r.box) * one
	sum = 0
	for k := range w {
		sum += average[lead+k]
	}
	for i := range dst {
		sum += average[lead+i+w]
		g := float32(float64(sum) / whole)
		sum -= average[lead+i]
		if g < 1 {
			dst[i] = float32(dst[i] * g)
			r.least = min(r.least, g)
		}
	}
}
