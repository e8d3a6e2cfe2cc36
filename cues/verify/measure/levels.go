package measure

import (
	"math"

	"cuewright/audio"
	"cuewright/audio/loudness"
	"cuewright/cues/verify/expect"
)

// levels measures peaks, clipping, and the loudness of the spoken stretches.
type levels struct {
	cursor
	done  int
	meter *loudness.Meter // of the spoken stretches joined end to end

	peaks []loudness.PeakMeter
	flat  []flatTop // a channel
	side  []float32
	apart float64 // most by which channels differ, linear
	clips []expect.Span
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

func newLevels(d *expect.Expected, shift int64, rate audio.Rate, channels int) *levels {
	l := &levels{meter: loudness.NewMeter(rate, twoSpeakers), peaks: make([]loudness.PeakMeter, channels), flat: make([]flatTop, channels)}
	for _, c := range d.Calls {
		if !c.Counted {
			l.spans = append(l.spans, span(c.From+shift, c.To+shift))
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
		side := block
		if channels > 1 {
			l.side = l.side[:0]
			for i := c; i < len(block); i += channels {
				l.side = append(l.side, block[i])
				l.apart = max(l.apart, math.Abs(float64(block[i]-block[i-c])))
			}
			side = l.side
		}
		l.peaks[c].Add(side)
		f := &l.flat[c]
		for i, v := range side {
			if v != f.value {
				f.value, f.since = v, at+int64(i)
				continue
			}
			if -nearTop < v && v < nearTop {
				continue // nearly all of a class, and all of its silence
			}
			run := at + int64(i) - f.since + 1
			if top := math.Abs(float64(v)); top >= full && run == 2 || top < full && run == sameTop {
				l.clips = append(l.clips, span(f.since, f.since+run))
			}
		}
	}
}

// peak is the largest true peak of the channels, linear.
func (l *levels) peak() float64 {
	largest := 0.0
	for i := range l.peaks {
		largest = max(largest, l.peaks[i].Peak())
	}
	return largest
}
