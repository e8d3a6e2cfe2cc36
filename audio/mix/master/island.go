package master

import (
	"slices"

	"cuewright/audio/loudness"
	"cuewright/audio/mix"
)

// An island and what is kept of it.
type island struct {
	mix.Island
	// cached is what comes out of the limiter; nil for what is worked out when it is
	// read. Those that are alike share it.
	cached []float32
}

// maxKept is how many samples are kept at most, 25 MB: two minutes or more of
// sounds that differ, whatever the length of the class.
const maxKept = 6 << 20

// keep works out, at the present gain, as many islands as may be kept, each of those
// that are alike once, and those first that are heard again.
func (r *reader) keep() {
	l := r.limiter
	if l.mix.HasBed() {
		return // nothing sounds twice the same
	}
	times := make([]int, len(l.islands))
	for _, s := range l.islands {
		times[s.SameAs]++
	}
	r.least = 1
	room := int64(maxKept)
	for _, again := range []bool{true, false} {
		for i := range l.islands {
			s := &l.islands[i]
			switch length := s.To - s.From; {
			case s.SameAs != i:
				s.cached = l.islands[s.SameAs].cached
			case (times[i] > 1) == again && length <= room:
				room -= length
				if s.cached == nil {
					s.cached = make([]float32, length)
				}
				for at := int64(0); at < length; at += block {
					r.limit(s.cached[at:min(at+block, length)], s.From+at)
				}
			}
		}
	}
	l.least = r.least
	for _, k := range l.known {
		k.Refilter()
	}
}

// A place is a part of an island, from its first frame counted. Equal places sound
// the same.
type place struct {
	island   int
	from, to int64
}

// place finds the island that a span lies in, and those like it; ok is false where
// it lies in none, or in several.
func (l *limiter) place(s mix.Span) (p place, ok bool) {
	i := l.after(s.From)
	if i == len(l.islands) || s.From < l.islands[i].From || s.To > l.islands[i].To {
		return place{}, false
	}
	return place{l.islands[i].SameAs, s.From - l.islands[i].From, s.To - l.islands[i].From}, true
}

// after is the index of the first island that ends after a frame.
func (l *limiter) after(frame int64) int {
	i, _ := slices.BinarySearchFunc(l.islands, frame, func(s island, t int64) int {
		if s.To <= t {
			return -1
		}
		return 1
	})
	return i
}

// prefiltered is a kept island, the first of those that are alike, weighted for meters.
func (l *limiter) prefiltered(island int) *loudness.Prefiltered {
	k := l.known[island]
	if k == nil {
		k = loudness.Prefilter(l.rate, l.islands[island].cached)
		l.known[island] = k
	}
	return k
}

// loudnessPass measures a stretch of a limited mix, block by block.
type loudnessPass struct {
	*limiter
	meter   *loudness.Meter // nil for none
	stretch mix.Span
	at      int64 // the frame up to which the meter has heard
}

// add measures the islands of a block. Sound holds what is not kept of it.
func (h *loudnessPass) add(sound []float32, b mix.Span) {
	if h.meter == nil {
		return
	}
	for i := h.after(b.From); i < len(h.islands) && h.islands[i].From < b.To; i++ {
		s := &h.islands[i]
		from, to := max(s.From, b.From), min(s.To, b.To)
		known := s.cached != nil && s.From >= h.stretch.From
		if known { // all of it at once, with the first block of it
			to = min(s.To, h.stretch.To)
			if h.at >= to {
				continue
			}
		}
		h.silence(from)
		switch {
		case known:
			h.meter.AddPrefiltered(h.prefiltered(s.SameAs), 0, int(to-s.From))
		case s.cached != nil:
			h.meter.Add(s.cached[from-s.From : to-s.From])
		default:
			h.meter.Add(sound[from-b.From : to-b.From])
		}
		h.at = to
	}
}

// silence measures the silence up to a frame.
func (h *loudnessPass) silence(to int64) {
	if h.meter != nil && to > h.at {
		h.meter.AddSilence(to - h.at)
		h.at = to
	}
}
