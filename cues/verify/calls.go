package verify

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	"cuewright/audio"
	"cuewright/audio/loudness"
)

// callEar hears where each call begins and ends, and how loud it is.
type callEar struct {
	d       *due
	shift   int64
	digital bool // silence is digital silence, so every sample of a call tells
	heard   []heardCall
	scratch []float32
}

// A heardCall is what was heard of one call.
type heardCall struct {
	silent bool
	// Frames by which it begins and ends late, by the samples that are not zero and
	// by its level.
	digital, level [2]float64
	loud           float64 // LUFS of its loudest 400 ms, one channel counted once
}

const (
	hopTime  = 5    // ms in which a level is taken
	drop     = 40   // dB under its loudest hop at which a call counts as heard
	lookPast = 2000 // ms beyond a call in which its end is looked for, at most
	lookFore = 50
)

// around is the stretch in which call i is looked for: up to the sounds next to it.
func (e *callEar) around(i int) span {
	c := e.d.calls[i]
	free := func(to int64) (from, end int64) { // the silence that ends or starts at a frame
		k, ok := slices.BinarySearchFunc(e.d.silent, to, func(s span, t int64) int {
			switch {
			case s.to < t:
				return -1
			case s.from > t:
				return 1
			}
			return 0
		})
		if !ok {
			return to, to
		}
		return e.d.silent[k].from, e.d.silent[k].to
	}
	out := c.span
	if from, end := free(c.from); end == c.from {
		out.from -= min((end-from)/2, e.d.ms(lookFore))
	}
	if from, end := free(c.to); from == c.to {
		out.to += min((end-from)/2, e.d.ms(lookPast))
	}
	return span{out.from + e.shift, out.to + e.shift}
}

func (e *callEar) hear(w *window) {
	for len(e.heard) < len(e.d.calls) {
		i := len(e.heard)
		s := e.around(i)
		if !w.holds(s) {
			return
		}
		x := w.read(s, &e.scratch)
		c := e.d.calls[i]
		h := heardCall{}
		late := func(from, to int) [2]float64 {
			h.silent = h.silent || from >= to
			return [2]float64{float64(s.from + int64(from) - c.from - e.shift), float64(s.from + int64(to) - c.to - e.shift)}
		}
		h.digital, h.level = late(digitalEdges(x)), late(e.levelEdges(x))
		own := x[c.from+e.shift-s.from:]
		own = own[:min(len(own), int(c.to-c.from))]
		h.loud = loudness.MaxWindow(audio.Sound{Rate: e.d.rate, Samples: own}, 400*time.Millisecond)
		e.heard = append(e.heard, h)
	}
}

// edges are the frames by which a call begins and ends late.
func (e *callEar) edges(h heardCall) (from, to float64) {
	if e.digital {
		return h.digital[0], h.digital[1]
	}
	return h.level[0], h.level[1]
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
func (e *callEar) levelEdges(x []float32) (from, to int) {
	hop := int(e.d.ms(hopTime))
	var levels []float64
	most := 0.0
	for at := 0; at < len(x); at += hop {
		var sum float64
		part := x[at:min(at+hop, len(x))]
		for _, v := range part {
			sum += float64(v) * float64(v)
		}
		levels = append(levels, math.Sqrt(sum/float64(len(part))))
		most = max(most, levels[len(levels)-1])
	}
	floor := max(most*math.Pow(10, -drop/20.0), math.Pow(10, callFloor/20))
	heard := func(v float64) bool { return v > floor }
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

const (
	callFloor = -60.0 // dBFS that a call has at least

	// Limits of where a call begins and ends, in ms. In digital silence the first
	// and last sample that is not zero tell: dither leaves one in four of those that
	// would be. Elsewhere only its level does, which swells and fades: the demo
	// voice ends up to 71 ms early by it.
	digitalEdge          = 2.0
	levelEarly, levelEnd = 15.0, 250.0

	// A call's loudest 400 ms may differ so much from the median of all, in LU. The
	// demo voice and two computer voices stay within 1.1; clicks and music add to it.
	callLoud, callLoudUnder = 3.0, 6.0
)

// calls judges the calls, spoken or counted.
func (l *listening) calls(counted bool) Check {
	c := Check{Name: "calls"}
	if counted {
		c.Name = "counted words"
	}
	e, d := l.callEar, l.due
	var louds []float64
	for i, h := range e.heard {
		if d.calls[i].counted == counted && !h.silent {
			louds = append(louds, h.loud)
		}
	}
	slices.Sort(louds)
	usual := math.Inf(-1)
	if len(louds) > 0 {
		usual = louds[len(louds)/2]
	}
	unheard := 20.0 // LU under the others
	if d.bed {
		unheard = callLoudUnder // rather the music
	}
	loud := callLoud
	if d.bed || len(d.clicks) > 0 {
		loud = callLoudUnder
	}
	worst, edges := 0.0, 0
	for i, h := range e.heard {
		q := d.calls[i]
		if q.counted != counted {
			continue
		}
		c.Due++
		if h.silent || h.loud < usual-unheard {
			c.fault(d, q.from, 0, "%s is not heard", q.name)
			continue
		}
		startOpen, endOpen := l.open(q.from, -1), l.open(q.to, 1)
		from, to := e.edges(h)
		from, to = d.inMS(from), d.inMS(to)
		early, late := -digitalEdge, digitalEdge
		if !e.digital {
			early, late = -levelEarly, levelEnd
		}
		if q.counted { // placed by its beat
			early, late = early-0.1, late+0.1
		}
		wrongStart := startOpen && (from < early || from > late)
		wrongEnd := endOpen && (to > -early || to < -late)
		if startOpen {
			worst, edges = max(worst, math.Abs(from)), edges+1
		}
		if endOpen {
			worst, edges = max(worst, math.Abs(to)), edges+1
		}
		switch lasts := d.inMS(float64(q.to-q.from)) / 1000; {
		case wrongEnd && !wrongStart:
			l.otherLength++
			c.fault(d, q.from, to, "%s should last %.2f s and is heard for %.2f s: another phrase?", q.name, lasts, lasts+to/1000)
		case wrongStart:
			way := "late"
			if from < 0 {
				way = "early"
			}
			c.fault(d, q.from, from, "%s begins %s %s", q.name, millis(from), way)
		case math.Abs(h.loud-usual) > loud:
			c.fault(d, q.from, 0, "%s is %+.1f LU beside the other calls (limit %g)", q.name, h.loud-usual, loud)
		case !startOpen && !endOpen && !d.bed:
			c.Hidden++
		default:
			c.Heard++
		}
	}
	limit := fmt.Sprintf("%g ms", digitalEdge)
	if !e.digital {
		limit = fmt.Sprintf("by their level: %g ms outside, %g inside", levelEarly, levelEnd)
	}
	if d.bed {
		c.Text = fmt.Sprintf("%s: as loud as the others (limit ± %g LU); starts and ends not measurable here under the music", l.count(&c), loud)
		return c
	}
	c.Text = fmt.Sprintf("%s, starts and ends within %s of the list's (limit %s)", l.count(&c), millis(worst), limit)
	return c
}

// open tells whether silence is due before (side -1) or after (side 1) a frame,
// and nothing but the call there beside it.
func (l *listening) open(at int64, side int64) bool {
	d := l.due
	out, in := d.ms(4), d.ms(10)
	s := span{at - out, at + in}
	if side > 0 {
		s = span{at - in, at + out}
	}
	touch := func(x []sound) bool {
		for k := d.firstTouching(x, s); k < len(x) && x[k].from < s.to; k++ {
			if x[k].touches(s) {
				return true
			}
		}
		return false
	}
	if d.bed || touch(d.tones) || touch(d.clicks) {
		return false
	}
	n := 0
	for i := range d.calls {
		if d.calls[i].touches(s) {
			n++
		}
	}
	return n == 1
}

// firstTouching is where to begin looking for what touches s among sounds in
// order, none of which lasts longer than a second.
func (d *due) firstTouching(x []sound, s span) int {
	k, _ := slices.BinarySearchFunc(x, s.from-int64(d.rate), func(a sound, t int64) int { return cmp.Compare(a.from, t) })
	return k
}
