package flac

import "math/bits"

const (
	mostSplits = 6  // a block is divided into up to 2^6 parts, each with its parameter
	mostShort  = 14 // the largest Rice parameter of 4 bits; 15 means something else
	mostLong   = 30 // that of 5 bits
)

// A rice is how the residual of a block is coded: in 1<<splits parts of equal
// length (the first is shorter by the samples of the warm-up), each with its
// parameter (RFC 9639 section 9.2.7).
type rice struct {
	splits uint
	params [1 << mostSplits]uint8
	cost   uint64 // bits, as estimated
}

// folded turns a residual into a number from 0 on: 0, -1, 1, -2, 2, …
func folded(r int32) uint32 { return uint32(r)<<1 ^ uint32(r>>31) }

// planRice finds the parts and parameters for a residual, which begins behind a
// warm-up of order samples.
func planRice(residual []int32, order int) rice {
	n := len(residual) + order
	splits := uint(min(mostSplits, bits.TrailingZeros(uint(n))))
	for splits > 0 && n>>splits <= order {
		splits--
	}
	var sums [1 << mostSplits]uint64
	at := 0
	for p := range 1 << splits {
		end := (p+1)*(n>>splits) - order
		var sum uint64
		for _, r := range residual[at:end] {
			sum += uint64(folded(r))
		}
		sums[p], at = sum, end
	}
	best := rice{cost: 1 << 62}
	for {
		next := rice{splits: splits, cost: 6}
		for p := range 1 << splits {
			count := uint64(n >> splits)
			if p == 0 {
				count -= uint64(order)
			}
			k, cost := parameter(sums[p], count)
			next.params[p] = k
			next.cost += 5 + cost
		}
		if next.cost < best.cost {
			best = next
		}
		if splits == 0 {
			return best
		}
		splits--
		for p := range 1 << splits {
			sums[p] = sums[2*p] + sums[2*p+1]
		}
	}
}

// parameter is the Rice parameter for count folded residuals of a sum, and about
// how many bits they take with it.
func parameter(sum, count uint64) (uint8, uint64) {
	if count == 0 {
		return 0, 0
	}
	cost := func(k uint) uint64 { return count*uint64(k+1) + sum>>k }
	k := uint(bits.Len64(sum / count)) // near the best: the mean lies between 2^(k-1) and 2^k
	if k > 0 && cost(k-1) <= cost(k) {
		k--
	}
	k = min(k, mostLong)
	return uint8(k), cost(k)
}

// residual writes what planRice has found for it.
func (w *bitWriter) residual(residual []int32, order int, how *rice) {
	n := len(residual) + order
	width := uint(4)
	for _, k := range how.params[:1<<how.splits] {
		if k > mostShort {
			width = 5
		}
	}
	w.put(uint64(width-4), 2)
	w.put(uint64(how.splits), 4)
	at := 0
	for p, k := range how.params[:1<<how.splits] {
		w.put(uint64(k), width)
		end := (p+1)*(n>>how.splits) - order
		w.rice(residual[at:end], uint(k))
		at = end
	}
}

// rice writes residuals with one parameter: the high bits in unary, the low k
// bits as they are.
func (w *bitWriter) rice(residual []int32, k uint) {
	for _, r := range residual {
		u := folded(r)
		high := u >> k
		if length := uint(high) + 1 + k; high < 32 && length <= 48 {
			w.put(1<<k|uint64(u)&(1<<k-1), length)
			continue
		}
		w.unary(high)
		w.put(uint64(u)&(1<<k-1), k)
	}
}
