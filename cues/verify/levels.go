package verify

import (
	"fmt"
	"math"

	"cuewright/audio"
	"cuewright/audio/loudness"
)

// levels measures peaks, clipping, and the loudness of the spoken stretches.
type levels struct {
	walk
	done  int
	meter *loudness.Meter // of the spoken stretches joined end to end

	peaks []loudness.PeakMeter
	flat  []flatTop // a channel
	side  []float32
	apart float64 // most by which channels differ, linear
	clips []span
}

// A flatTop counts samples of one value near the top.
type flatTop struct {
	value float32
	since int64
}

const (
	// A mono track is taken as heard from two speakers.
	twoSpeakers = 2.0
	nearTop     = 0.5 // -6 dBFS: lower ones are no clipping
	// sameTop is how many samples in a row of one value are a flat top under full
	// scale; a 60 Hz tone at full scale leaves about four at its peak in 16 bit.
	sameTop = 7
	full    = 32766.0 / 32768
)

func newLevels(d *due, shift int64, rate audio.Rate, channels int) *levels {
	l := &levels{meter: loudness.NewMeter(rate, twoSpeakers), peaks: make([]loudness.PeakMeter, channels), flat: make([]flatTop, channels)}
	for _, c := range d.calls {
		if !c.counted {
			l.spans = append(l.spans, span{c.from + shift, c.to + shift})
		}
	}
	return l
}

func (l *levels) hear(w *window) {
	l.pieces(w, func(_ int, _ int64, x []float32) { l.meter.Add(x) }, &l.done)
}

// add takes a block of all channels, interleaved, that starts at a frame.
func (l *levels) add(at int64, block []float32) {
	channels := len(l.peaks)
	for c := range channels {
		l.side = l.side[:0]
		for i := c; i < len(block); i += channels {
			l.side = append(l.side, block[i])
			l.apart = max(l.apart, math.Abs(float64(block[i]-block[i-c])))
		}
		l.peaks[c].Add(l.side)
		f := &l.flat[c]
		for i, v := range l.side {
			frame := at + int64(i)
			if v != f.value {
				f.value, f.since = v, frame
			}
			run := frame - f.since + 1
			top := math.Abs(float64(v))
			if top >= full && run == 2 || top >= nearTop && top < full && run == sameTop {
				l.clips = append(l.clips, span{f.since, frame + 1})
			}
		}
	}
}

// peak is the true peak in dBTP.
func (l *levels) peak() float64 {
	most := 0.0
	for i := range l.peaks {
		most = max(most, l.peaks[i].Peak())
	}
	return decibels(most)
}

const (
	loudWithin      = 0.1 // LU; the mastering comes within 0.02
	lossyLoudWithin = 0.5
	heldWithin      = 0.2 // dB under the ceiling at which it may hold the loudness down
	// mostLimited is how far the limiter lowers the peaks of speech at most, in dB, and
	// limiterTakes what that takes from its loudness at most, in LU; sentences are so
	// much softer at most than their loudest 400 ms.
	mostLimited, limiterTakes, sentencesUnder = 6.0, 1.5, 2.0
	clicksOver                                = 2.0 // dB that clicks or music under speech may add to its peaks
	// lossyPeak is how far decoding may move the peak, in dB. Measured with classes
	// as MP3: -0.45, AAC: +0.12, Opus: +0.55.
	lossyPeak = 1.0
)

func (l *listening) loudness() Check {
	c := Check{Name: "loudness", Due: 1}
	got := l.levels.meter.Integrated()
	if math.IsInf(got, -1) {
		c.Hidden = 1
		c.Text = "no speech to measure"
		return c
	}
	within, heldWithin := loudWithin, heldWithin
	if l.rec.Lossy {
		within, heldWithin = lossyLoudWithin, lossyPeak
	}
	held := ""
	switch by := got - l.due.target; {
	case math.Abs(by) <= within:
		c.Heard = 1
	case by < 0 && -by < l.canHold()+within && l.levels.peak() > l.due.ceiling-heldWithin:
		c.Heard = 1
		held = ", held down by the peak"
	default:
		l.louder = by
		c.whole("the calls are %.2f LU %s than the plan wants", math.Abs(by), map[bool]string{true: "louder", false: "softer"}[by > 0])
	}
	c.Text = fmt.Sprintf("%.2f LUFS over all calls, as from two speakers%s (limit %g ± %g)", got, held, l.due.target, within)
	return c
}

// canHold is by how many LU the ceiling may hold the loudness down: only recordings
// with high peaks leave the limiter more to do than it does.
func (l *listening) canHold() float64 {
	over := l.crest + sentencesUnder + limiterTakes
	if l.due.bed || len(l.due.clicks) > 0 {
		over += clicksOver
	}
	return max(0, over-(l.due.ceiling+mostLimited-l.due.target))
}

func (l *listening) peak() Check {
	c := Check{Name: "true peak", Due: 1, Heard: 1}
	got, limit := l.levels.peak(), l.due.ceiling
	if l.rec.Lossy {
		limit += lossyPeak
	}
	if got > limit+0.005 {
		c.Heard = 0
		c.whole("the true peak is %.2f dB over its limit", got-limit)
	}
	c.Text = fmt.Sprintf("%.2f dBTP (limit %g)", got, limit)
	if l.rec.Lossy {
		c.Text = fmt.Sprintf("%.2f dBTP decoded (limit %g: a ceiling of %g, and %g dB that decoding may add)", got, limit, l.due.ceiling, lossyPeak)
	}
	return c
}

func (l *listening) clipping() Check {
	c := Check{Name: "clipping", Due: 1, Heard: 1, Text: "no flat tops"}
	for _, s := range l.levels.clips {
		c.Heard = 0
		c.fault(l.due, s.from, 0, "clipped: %d samples or more of one value at the top", s.to-s.from)
	}
	if n := len(l.levels.clips); n > 0 {
		c.Text = fmt.Sprintf("%d flat tops (limit none)", n)
	}
	return c
}
