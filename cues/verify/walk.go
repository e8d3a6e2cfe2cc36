package verify

// A walk goes through spans, which are in order, piece by piece as a track is heard.
type walk struct {
	spans   []span
	at      int64
	scratch []float32
}

// pieces gives do what has come of the spans since the last call: which one and
// where it lies.
func (p *walk) pieces(w *window, do func(i int, at int64, x []float32), done *int) {
	for *done < len(p.spans) {
		s := p.spans[*done]
		s.from = max(s.from, p.at)
		to := min(s.to, w.to)
		if w.over {
			to = s.to
		}
		if s.from < to {
			// Behind the end of the track is silence, however much is due.
			if end := min(to, w.to); s.from < end {
				do(*done, s.from, w.read(span{s.from, end}, &p.scratch))
			}
			p.at = to
		}
		if to < s.to {
			return
		}
		*done++
	}
}
