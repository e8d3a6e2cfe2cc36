package measure

import (
	"math"
	"slices"
	"time"

	"cuewright/audio"
	"cuewright/audio/loudness"
	"cuewright/cues/verify/expect"
)

// calls hears where each call begins and ends, and how loud it is.
type calls struct {
	d       *expect.Expected
	shift   int64
	heard   []Call
	scratch []float32
}

// A Call is what was heard of one call.
type Call struct {
	Silent bool
	// Frames by which it begins and ends late, by the samples that are not zero and
	// by its level.
	Digital, Level [2]float64
	Loudness       float64 // LUFS of its loudest 400 ms, one channel counted once
}

const (
	hopTime  = 5    // ms in which a level is taken
	drop     = 40   // dB under its loudest hop at which a call counts as heard
	lookPast = 2000 // ms beyond a call in which its end is looked for, at most
	lookFore = 50
	floor    = -60.0 // dBFS that a call has at least
)

// around is the stretch in which call i is looked for: up to the sounds next to it.
func (e *calls) around(i int) expect.Span {
	c := e.d.Calls[i]
	free := func(to int64) (from, end int64) { // the silence that ends or starts at a frame
		k, ok := slices.BinarySearchFunc(e.d.Silent, to, func(s expect.Span, t int64) int {
			switch {
			case s.To < t:
				return -1
			case s.From > t:
				return 1
			}
			return 0
		})
		if !ok {
			return to, to
		}
		return e.d.Silent[k].From, e.d.Silent[k].To
	}
	out := c.Span
	if from, end := free(c.From); end == c.From {
		out.From -= min((end-from)/2, e.d.MS(lookFore))
	}
	if from, end := free(c.To); from == c.To {
		out.To += min((end-from)/2, e.d.MS(lookPast))
	}
	return span(out.From+e.shift, out.To+e.shift)
}

func (e *calls) hear(w *window) {
	for len(e.heard) < len(e.d.Calls) {
		i := len(e.heard)
		s := e.around(i)
		if !w.holds(s) {
			return
		}
		x := w.read(s, &e.scratch)
		c := e.d.Calls[i]
		h := Call{}
		late := func(from, to int) [2]float64 {
			h.Silent = h.Silent || from >= to
			return [2]float64{float64(s.From + int64(from) - c.From - e.shift), float64(s.From + int64(to) - c.To - e.shift)}
		}
		h.Digital, h.Level = late(digitalEdges(x)), late(e.levelEdges(x))
		own := x[c.From+e.shift-s.From:]
		own = own[:min(len(own), int(c.To-c.From))]
		h.Loudness = loudness.MaxWindow(audio.Sound{Rate: e.d.Rate, Samples: own}, 400*time.Millisecond)
		e.heard = append(e.heard, h)
	}
}

// digitalEdges are where x begins and ends to be not zero; equal where it is all zero.
func digitalEdges(x []float32) (from, to int) {
	for from < len(x) && x[from] == 0 {
		from++
	}
	for to = len(x); to > from && x[to-1] == 0; to-- {
	}
	return from, to
}

// levelEdges are where x begins and ends to be loud; equal where it is not.
func (e *calls) levelEdges(x []float32) (from, to int) {
	hop := int(e.d.MS(hopTime))
	var levels []float64
	loudest := 0.0
	for at := 0; at < len(x); at += hop {
		var sum float64
		part := x[at:min(at+hop, len(x))]
		for _, v := range part {
			sum += float64(v) * float64(v)
		}
		levels = append(levels, math.Sqrt(sum/float64(len(part))))
		loudest = max(loudest, levels[len(levels)-1])
	}
	threshold := max(loudest*math.Pow(10, -drop/20.0), math.Pow(10, floor/20))
	heard := func(v float64) bool { return v > threshold }
	first := slices.IndexFunc(levels, heard)
	if first < 0 {
		return 0, 0
	}
	last := len(levels) - 1
	for !heard(levels[last]) {
		last--
	}
	return first * hop, min((last+1)*hop, len(x))
}
