package verify

import (
	"cmp"
	"math"
	"slices"

	"cuewright/audio/listen"
)

// A lay is how a track lies against its plan.
type lay struct {
	shift   int64 // frames by which what is heard comes late
	heard   []listen.Tone
	matched int // of the tones heard, how many are due where they are, the shift allowed for
}

// align finds the shift that brings most of the tones heard onto tones due, by
// their starts or their ends.
func align(tones []listen.Tone, d *due) lay {
	const furthest = 30 // seconds
	reach := furthest * int64(d.rate)
	bin := max(1, d.ms(2))
	votes := map[int64][]int64{}
	vote := func(by int64) {
		b := int64(math.Floor(float64(by) / float64(bin)))
		votes[b] = append(votes[b], by)
	}
	each := func(do func(h listen.Tone, t *sound)) {
		for _, h := range tones {
			k, _ := slices.BinarySearchFunc(d.tones, h.From-reach, func(t sound, at int64) int { return cmp.Compare(t.from, at) })
			for ; k < len(d.tones) && d.tones[k].from < h.From+reach; k++ {
				do(h, &d.tones[k])
			}
		}
	}
	each(func(h listen.Tone, t *sound) {
		vote(h.From - t.from)
		vote(h.To - t.to)
	})
	best, most := int64(0), -1
	for b := range votes {
		n := len(votes[b]) + len(votes[b+1])
		// Among equals the nearest counts, so that a map's order does not.
		if n > most || n == most && (max(b, -b) < max(best, -best) || max(b, -b) == max(best, -best) && b > best) {
			best, most = b, n
		}
	}
	out := lay{heard: tones}
	if most < 2 || d.bed && most < len(d.tones) {
		return out // music may have tones of its own: half of those due must agree
	}
	near := slices.Concat(votes[best], votes[best+1])
	slices.Sort(near)
	out.shift = near[len(near)/2]
	if max(out.shift, -out.shift) <= d.ms(2) {
		out.shift = 0 // near enough to be measured
	}
	for _, h := range tones {
		if slices.ContainsFunc(d.tones, func(t sound) bool {
			a, b := h.From-t.from-out.shift, h.To-t.to-out.shift
			return max(a, -a) <= d.ms(5) || max(b, -b) <= d.ms(5)
		}) {
			out.matched++
		}
	}
	return out
}
