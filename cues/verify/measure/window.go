package measure

import "cuewright/cues/verify/expect"

// A window holds the last stretch of a track that is being heard.
type window struct {
	buf      []float32
	From, To int64 // frames of the track that buf holds
	keep     int   // frames kept behind
	over     bool
}

// add takes a further block.
func (w *window) add(block []float32) {
	if drop := len(w.buf) - w.keep; drop > w.keep { // seldom: all that is kept is moved
		w.buf = w.buf[:copy(w.buf, w.buf[drop:])]
		w.From += int64(drop)
	}
	w.buf = append(w.buf, block...)
	w.To += int64(len(block))
}

// holds tells whether all of s has been heard, or there is no more to come.
func (w *window) holds(s expect.Span) bool { return w.over || s.To <= w.To }

// read is the stretch s, with silence where the track has none, in scratch or in
// place.
func (w *window) read(s expect.Span, scratch *[]float32) []float32 {
	if s.From >= w.From && s.To <= w.To {
		return w.buf[s.From-w.From : s.To-w.From]
	}
	n := int(s.To - s.From)
	if cap(*scratch) < n {
		*scratch = make([]float32, n)
	}
	out := (*scratch)[:n]
	clear(out)
	if from, to := max(s.From, w.From), min(s.To, w.To); from < to {
		copy(out[from-s.From:], w.buf[from-w.From:to-w.From])
	}
	return out
}

// An analyser measures one thing while a track goes by.
type analyser interface {
	// hear is called after every block, and once more when the track is over.
	hear(w *window)
}

// span is the frames from one up to another, not including it.
func span(from, to int64) expect.Span { return expect.Span{From: from, To: to} }
