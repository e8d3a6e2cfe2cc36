package measure

import (
	"math"
	"slices"

	"cuewright/audio/loudness"
	"cuewright/cues/verify/expect"
)

// The course of music that is due, as the project documents it, in milliseconds: it
// fades in and out at the ends of the track, is down when a call begins, stays down
// after it, and through pauses that are shorter than the bridge.
const (
	musicIn, musicOut          = 3000, 6000
	duckDown, duckHold, duckUp = 250, 400, 800
	duckBridge                 = 1200
	shortFree                  = 40       // stretches between sounds shorter than that are left out
	musicStart, musicEnd       = 200, 400 // of a fade, in which hardly anything is heard
)

// music hears the bed in the gaps that calls, tones and clicks leave.
type music struct {
	free, down segments
	ends       [2]segments // the first moments and the last
}

// Segments are stretches whose loudness is measured as if joined end to end.
type segments struct {
	cursor
	done   int
	frames int64
	meter  *loudness.Meter
	power  float64
}

func (s *segments) hear(w *window) {
	s.pieces(w, func(_ int, _ int64, x []float32) {
		s.meter.Add(x)
		s.frames += int64(len(x))
		for _, v := range x {
			s.power += float64(v) * float64(v)
		}
	}, &s.done)
}

// passages are what was measured of the stretches.
func (s *segments) passages() Passages {
	return Passages{Frames: s.frames, Loudness: s.meter.Integrated(), Level: 10 * math.Log10(s.power/float64(s.frames))}
}

func (m *music) hear(w *window) {
	for _, s := range []*segments{&m.free, &m.down, &m.ends[0], &m.ends[1]} {
		s.hear(w)
	}
}

// newMusic finds where the music is heard alone: at its level, and ducked.
func newMusic(d *expect.Expected, shift int64) *music {
	var called []expect.Span
	for _, s := range d.Tones {
		called = append(called, s.Span)
	}
	for _, c := range d.Calls {
		called = append(called, c.Span)
	}
	slices.SortFunc(called, func(a, b expect.Span) int { return int(a.From - b.From) })
	m := &music{}
	last := span(0, d.MS(musicIn)-d.MS(duckHold)-d.MS(duckUp)) // as if called till then
	first := true
	for _, s := range append(called, span(d.Frames-d.MS(musicOut)+d.MS(duckDown), d.Frames)) {
		switch gap := s.From - last.To; {
		case gap <= 0:
		case first || gap >= d.MS(duckBridge):
			m.free.spans = append(m.free.spans, span(last.To+d.MS(duckHold)+d.MS(duckUp), s.From-d.MS(duckDown)))
			if !first {
				m.down.spans = append(m.down.spans, span(last.To, last.To+d.MS(duckHold)))
			}
		default:
			m.down.spans = append(m.down.spans, span(last.To, s.From))
		}
		first = false
		last.To = max(last.To, s.To)
	}
	inner := span(d.MS(musicIn), d.Frames-d.MS(musicOut))
	m.free.spans = between(d, m.free.spans, inner, shift)
	m.down.spans = between(d, m.down.spans, inner, shift)
	m.ends[0].spans = between(d, []expect.Span{span(0, d.MS(musicStart))}, span(0, d.Frames), shift)
	m.ends[1].spans = between(d, []expect.Span{span(d.Frames-d.MS(musicEnd), d.Frames)}, span(0, d.Frames), shift)
	for _, s := range []*segments{&m.free, &m.down, &m.ends[0], &m.ends[1]} {
		s.meter = loudness.NewMeter(d.Rate, twoSpeakers)
	}
	return m
}

// between are the parts of spans, in order, in which nothing else is due, within a
// stretch, moved by a shift.
func between(d *expect.Expected, spans []expect.Span, within expect.Span, shift int64) []expect.Span {
	var out []expect.Span
	for _, s := range spans {
		s = span(max(s.From, within.From), min(s.To, within.To))
		k, _ := slices.BinarySearchFunc(d.Silent, s.From, func(v expect.Span, t int64) int { return int(min(max(v.To-t, -1), 1)) })
		for ; k < len(d.Silent) && d.Silent[k].From < s.To; k++ {
			if v := (span(max(s.From, d.Silent[k].From)+shift, min(s.To, d.Silent[k].To)+shift)); v.To-v.From >= d.MS(shortFree) {
				out = append(out, v)
			}
		}
	}
	return out
}
