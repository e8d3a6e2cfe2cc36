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
	seam    seam
}

// A seam is where a copy goes on with so many frames too many, or too few, and all
// before it is in place. It lies between two tones; by is 0 where there is none.
type seam struct{ after, before, by int64 }

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
	if out.seam = findSeam(tones, d, out.shift); out.seam.by != 0 {
		out.shift = 0
	}
	for _, h := range tones {
		if min(d.apart(h, out.shift), d.apart(h, out.shift+out.seam.by)) <= d.ms(toneWithin) {
			out.matched++
		}
	}
	return out
}

// toneWithin is how near to one due a tone heard is that one, in ms.
const toneWithin = 5

// apart is how many frames a tone heard, less a shift, begins or ends beside the nearest
// one due, as far as a second.
func (d *due) apart(h listen.Tone, shift int64) int64 {
	least, second := int64(math.MaxInt64), int64(d.rate)
	k, _ := slices.BinarySearchFunc(d.tones, h.From-shift-second, func(t sound, at int64) int { return cmp.Compare(t.from, at) })
	for ; k < len(d.tones) && d.tones[k].from <= h.From-shift+second; k++ {
		a, b := h.From-d.tones[k].from-shift, h.To-d.tones[k].to-shift
		least = min(least, max(a, -a), max(b, -b))
	}
	return least
}

// findSeam looks for the place from which on tones are shifted, two or more before it
// being in place. Where most are in place, the last tells by how much.
func findSeam(tones []listen.Tone, d *due, shift int64) seam {
	if shift == 0 {
		last := tones[len(tones)-1]
		shift = math.MaxInt64
		for _, t := range d.tones {
			if off := last.From - t.from; max(off, -off) < max(shift, -shift) {
				shift = off
			}
		}
		if max(shift, -shift) <= d.ms(toneWithin) {
			return seam{}
		}
	}
	var s seam
	right, strange := 0, 0
	for _, h := range tones {
		switch a, b := d.apart(h, 0), d.apart(h, shift); {
		case min(a, b) > d.ms(toneWithin):
			strange++
		case a < b:
			if s.by != 0 {
				return seam{} // both come in turns
			}
			right++
			s.after = h.To
		case s.by == 0:
			s.before, s.by = h.From, shift
		}
	}
	if right < 2 || 10*strange > len(tones) { // or another class
		return seam{}
	}
	return s
}
