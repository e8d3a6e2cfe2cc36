package measure

import (
	"math"

	"cuewright/cues/verify/expect"
)

// silences hears whether it is silent where silence is due.
type silences struct {
	cursor
	done    int
	limit   float64 // RMS of a hop; 0 wants digital silence
	noise   bool    // a floor is due: digital silence is a fault
	hop     int64
	bursts  []Burst
	frames  int64 // of silence heard
	longest Burst // the longest digital silence where noise is due
	current Burst
}

// A Burst is a stretch that should be silent and is not.
type Burst struct {
	expect.Span
	Max  float64 // largest magnitude, or RMS where there is a limit
	Edge int64   // frames to the nearest end of the silence due
}

// newSilences listens to the silent stretches.
func newSilences(d *expect.Expected, shift int64, h Hearing) *silences {
	s := &silences{limit: h.Limit, noise: d.Noise, hop: d.MS(10)}
	for _, v := range d.Silent {
		v.From, v.To = v.From+shift, v.To+shift
		if v.From > shift {
			v.From += h.Guard
		}
		if v.To < d.Frames+shift {
			v.To -= h.Guard
		}
		if v.From = max(v.From, 0); v.From < v.To {
			s.spans = append(s.spans, v)
		}
	}
	return s
}

func (s *silences) hear(w *window) {
	s.pieces(w, func(i int, at int64, x []float32) {
		s.frames += int64(len(x))
		if s.noise {
			s.listenForFloor(at, x)
		}
		if s.limit == 0 {
			for k, v := range x {
				if v != 0 {
					s.note(i, span(at+int64(k), at+int64(k)+1), math.Abs(float64(v)))
				}
			}
			return
		}
		for len(x) > 0 {
			n := min(len(x), int(s.hop))
			var sum float64
			for _, v := range x[:n] {
				sum += float64(v) * float64(v)
			}
			// A rest of a few frames tells no level.
			if rms := math.Sqrt(sum / float64(n)); rms > s.limit && n > int(s.hop)/4 {
				s.note(i, span(at, at+int64(n)), rms)
			}
			x, at = x[n:], at+int64(n)
		}
	}, &s.done)
}

// note keeps a stretch, joined to the last one if that is near.
func (s *silences) note(i int, at expect.Span, most float64) {
	due := s.spans[i]
	edge := min(at.From-due.From, due.To-at.To)
	if n := len(s.bursts); n > 0 && at.From-s.bursts[n-1].To <= 2*s.hop && s.bursts[n-1].To >= due.From {
		last := &s.bursts[n-1]
		last.To, last.Max, last.Edge = at.To, max(last.Max, most), max(last.Edge, edge)
		return
	}
	s.bursts = append(s.bursts, Burst{at, most, edge})
}

// listenForFloor finds the longest digital silence.
func (s *silences) listenForFloor(at int64, x []float32) {
	for k, v := range x {
		if v != 0 {
			s.current = Burst{}
			continue
		}
		if f := at + int64(k); s.current.To != f {
			s.current.Span = span(f, f)
		}
		s.current.To++
		if s.current.To-s.current.From > s.longest.To-s.longest.From {
			s.longest = s.current
		}
	}
}
