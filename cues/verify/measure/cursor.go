package measure

import "cuewright/cues/verify/expect"

// A cursor goes through spans, which are in order, piece by piece as a track is heard.
type cursor struct {
	spans   []expect.Span
	at      int64
	scratch []float32
}

// pieces gives do what has come of the spans since the last call: which one and
// where it lies.
func (p *cursor) pieces(w *window, do func(i int, at int64, x []float32), done *int) {
	for *done < len(p.spans) {
		s := p.spans[*done]
		s.From = max(s.From, p.at)
		to := min(s.To, w.To)
		if w.over {
			to = s.To
		}
		if s.From < to {
			// Behind the end of the track is silence, however much is due.
			if end := min(to, w.To); s.From < end {
				do(*done, s.From, w.read(span(s.From, end), &p.scratch))
			}
			p.at = to
		}
		if to < s.To {
			return
		}
		*done++
	}
}
