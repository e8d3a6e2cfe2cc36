// Package mix adds sounds up on an exact grid of frames, over music that ducks under speech.
//
// A class is mostly silence: the mix holds events, never the whole track, and
// touches only the frames that sound.
package mix

import (
	"cmp"
	"slices"
)

// An Event is a sound that starts at a frame. Samples are shared and not changed.
type Event struct {
	At      int64
	Samples []float32
	Gain    float32
}

func (e *Event) end() int64 { return e.At + int64(len(e.Samples)) }

// A Mix is the sum of its events over Frames frames, over a bed if it has one. What
// lies outside is cut.
type Mix struct {
	Frames int64
	bed    *bed // nil for none
	events []Event
	// longest is the longest event, which bounds how far back one may have begun
	// that still sounds.
	longest int64
}

// New makes a mix. Events may come in any order; among those of one frame the
// order given is kept, so that the sum is the same each time.
func New(frames int64, events []Event) *Mix {
	m := &Mix{Frames: frames, events: slices.Clone(events)}
	slices.SortStableFunc(m.events, func(a, b Event) int { return cmp.Compare(a.At, b.At) })
	for i := range m.events {
		m.longest = max(m.longest, int64(len(m.events[i].Samples)))
	}
	return m
}

// Read fills dst with the mix from frame at on; outside the mix is silence.
func (m *Mix) Read(dst []float32, at int64) {
	clear(dst)
	end := min(at+int64(len(dst)), m.Frames)
	if m.bed != nil {
		if from := max(at, 0); from < end {
			m.bed.read(dst[from-at:end-at], from, m.Frames)
		}
	}
	i, _ := slices.BinarySearchFunc(m.events, at-m.longest, func(e Event, t int64) int { return cmp.Compare(e.At, t) })
	for ; i < len(m.events) && m.events[i].At < end; i++ {
		e := &m.events[i]
		from, to := max(e.At, at, 0), min(e.end(), end)
		if from >= to {
			continue
		}
		out, in, gain := dst[from-at:to-at], e.Samples[from-e.At:to-e.At], e.Gain
		for k, x := range in {
			out[k] += float32(x * gain) // the conversion keeps it from being fused, alike on every machine
		}
	}
}

// A Span is the frames from From up to, not including, To.
type Span struct{ From, To int64 }

// Spans are the stretches in which anything sounds, in order; between them the
// mix is digital silence.
func (m *Mix) Spans() []Span {
	if m.bed != nil {
		return []Span{{0, m.Frames}}
	}
	var spans []Span
	for i := range m.events {
		e := Span{max(0, m.events[i].At), min(m.Frames, m.events[i].end())}
		if e.From >= e.To {
			continue
		}
		if n := len(spans); n > 0 && e.From <= spans[n-1].To {
			spans[n-1].To = max(spans[n-1].To, e.To)
			continue
		}
		spans = append(spans, e)
	}
	return spans
}

// Joined are the spans with the gaps closed that are shorter than gap.
func Joined(spans []Span, gap int64) []Span {
	var out []Span
	for _, s := range spans {
		if n := len(out); n > 0 && s.From-out[n-1].To < gap {
			out[n-1].To = max(out[n-1].To, s.To)
			continue
		}
		out = append(out, s)
	}
	return out
}
