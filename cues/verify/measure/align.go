package measure

import (
	"cmp"
	"math"
	"slices"

	"cuewright/audio/listen"
	"cuewright/cues/verify/expect"
)

// An Alignment is how a track lies against its plan.
type Alignment struct {
	Shift   int64 // frames by which what is heard comes late
	Heard   []listen.Tone
	Matched int // of the tones heard, how many are due where they are, the shift allowed for
	Splice  Splice
}

// A Splice is where a copy goes on with so many frames too many, or too few, and all
// before it is in place. It lies between two tones; By is 0 where there is none.
type Splice struct{ After, Before, By int64 }

// align finds the shift that brings most of the tones heard onto tones due, by
// their starts or their ends.
func align(tones []listen.Tone, d *expect.Expected) Alignment {
	const furthest = 30 // seconds
	reach := furthest * int64(d.Rate)
	bin := max(1, d.MS(2))
	votes := map[int64][]int64{}
	vote := func(by int64) {
		b := int64(math.Floor(float64(by) / float64(bin)))
		votes[b] = append(votes[b], by)
	}
	each := func(do func(h listen.Tone, t *expect.Sound)) {
		for _, h := range tones {
			k, _ := slices.BinarySearchFunc(d.Tones, h.From-reach, func(t expect.Sound, at int64) int { return cmp.Compare(t.From, at) })
			for ; k < len(d.Tones) && d.Tones[k].From < h.From+reach; k++ {
				do(h, &d.Tones[k])
			}
		}
	}
	each(func(h listen.Tone, t *expect.Sound) {
		vote(h.From - t.From)
		vote(h.To - t.To)
	})
	best, most := int64(0), -1
	for b := range votes {
		n := len(votes[b]) + len(votes[b+1])
		// Among equals the nearest counts, so that a map's order does not.
		if n > most || n == most && (max(b, -b) < max(best, -best) || max(b, -b) == max(best, -best) && b > best) {
			best, most = b, n
		}
	}
	out := Alignment{Heard: tones}
	if most < 2 || d.Bed && most < len(d.Tones) {
		return out // music may have tones of its own: half of those due must agree
	}
	agreed := slices.Concat(votes[best], votes[best+1])
	slices.Sort(agreed)
	out.Shift = agreed[len(agreed)/2]
	near := d.MS(2)
	if slices.ContainsFunc(d.Calls, func(c expect.Call) bool { return c.Counted }) {
		near = d.MS(toneWithin) // a word over a tone makes it seem to begin early
	}
	if max(out.Shift, -out.Shift) <= near {
		out.Shift = 0 // near enough to be measured
	}
	if out.Splice = findSplice(tones, d, out.Shift); out.Splice.By != 0 {
		out.Shift = 0
	}
	for _, h := range tones {
		if min(apart(d, h, out.Shift), apart(d, h, out.Shift+out.Splice.By)) <= d.MS(toneWithin) {
			out.Matched++
		}
	}
	return out
}

// toneWithin is how near to one due a tone heard is that one, in ms.
const toneWithin = 5

// apart is how many frames a tone heard, less a shift, begins or ends beside the nearest
// one due, as far as a second.
func apart(d *expect.Expected, h listen.Tone, shift int64) int64 {
	least, second := int64(math.MaxInt64), int64(d.Rate)
	k, _ := slices.BinarySearchFunc(d.Tones, h.From-shift-second, func(t expect.Sound, at int64) int { return cmp.Compare(t.From, at) })
	for ; k < len(d.Tones) && d.Tones[k].From <= h.From-shift+second; k++ {
		a, b := h.From-d.Tones[k].From-shift, h.To-d.Tones[k].To-shift
		least = min(least, max(a, -a), max(b, -b))
	}
	return least
}

// findSplice looks for the place from which on tones are shifted, two or more before it
// being in place. Where most are in place, the last tells by how much.
func findSplice(tones []listen.Tone, d *expect.Expected, shift int64) Splice {
	if shift == 0 {
		last := tones[len(tones)-1]
		shift = math.MaxInt64
		for _, t := range d.Tones {
			if off := last.From - t.From; max(off, -off) < max(shift, -shift) {
				shift = off
			}
		}
		if max(shift, -shift) <= d.MS(toneWithin) {
			return Splice{}
		}
	}
	var s Splice
	right, strange := 0, 0
	for _, h := range tones {
		switch a, b := apart(d, h, 0), apart(d, h, shift); {
		case min(a, b) > d.MS(toneWithin):
			strange++
		case a < b:
			if s.By != 0 {
				return Splice{} // both come in turns
			}
			right++
			s.After = h.To
		case s.By == 0:
			s.Before, s.By = h.From, shift
		}
	}
	if right < 2 || 10*strange > len(tones) { // or another class
		return Splice{}
	}
	return s
}
