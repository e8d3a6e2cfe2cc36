package verify

// A window holds the last stretch of a track that is being heard.
type window struct {
	buf      []float32
	from, to int64 // frames of the track that buf holds
	keep     int   // frames kept behind
	total    int64 // where it ends, once over
	over     bool
}

// add takes a further block.
func (w *window) add(block []float32) {
	if drop := len(w.buf) - w.keep; drop > len(block) {
		w.buf = w.buf[:copy(w.buf, w.buf[drop:])]
		w.from += int64(drop)
	}
	w.buf = append(w.buf, block...)
	w.to += int64(len(block))
}

// holds tells whether all of s has been heard, or there is no more to come.
func (w *window) holds(s span) bool { return w.over || s.to <= w.to }

// read is the stretch s, with silence where the track has none, in scratch or in
// place.
func (w *window) read(s span, scratch *[]float32) []float32 {
	if s.from >= w.from && s.to <= w.to {
		return w.buf[s.from-w.from : s.to-w.from]
	}
	n := int(s.to - s.from)
	if cap(*scratch) < n {
		*scratch = make([]float32, n)
	}
	out := (*scratch)[:n]
	clear(out)
	if from, to := max(s.from, w.from), min(s.to, w.to); from < to {
		copy(out[from-s.from:], w.buf[from-w.from:to-w.from])
	}
	return out
}

// An ear listens to one thing while a track goes by.
type ear interface {
	// hear is called after every block, and once more when the track is over.
	hear(w *window)
}
