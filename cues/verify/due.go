package verify

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"

	"cuewright/audio"
	"cuewright/audio/listen"
	"cuewright/cues"
)

// A span is the frames from from up to, not including, to.
type span struct{ from, to int64 }

func (s span) touches(t span) bool { return s.from < t.to && t.from < s.to }

// A sound is something due at a frame.
type sound struct {
	span
	name string // for messages
	// shape tells which known sound it is.
	shape listen.Shape
	// alone is false where another sound is due near its onset, which may hide it.
	alone bool
	// single is true where nothing else is due while it sounds.
	single bool
}

// A call is a stretch in which somebody speaks.
type call struct {
	span
	name    string
	counted bool // a word of the count
}

// The due is everything a track has to hold, in frames of the file that is heard.
type due struct {
	rate   audio.Rate
	start  int64 // class time zero
	frames int64
	tones  []sound
	clicks []sound
	calls  []call
	silent []span
	// sounds are the stretches between the silent ones.
	sounds []span
	marks  []mark
	// ceiling and target are the plan's promises, in dBTP and LUFS.
	ceiling, target float64
	noise           bool // under digital silence
	bed             bool // music: no silence is due
	// bedLevel and bedDuck are the plan's for the music, in LU and dB.
	bedLevel, bedDuck float64
}

// clickLength is how long a click sounds, in milliseconds.
const clickLength = 50

// lossyCeiling is that of a lossy form where the plan gives none, in dBTP: EBU Tech
// 3343, Appendix 2.
const lossyCeiling = -2.0

// promise works out what is due at a rate of the file, in a lossy form or not.
func promise(l *cues.List, rate audio.Rate, lossy bool) *due {
	c := l.Class
	start, length := c.TrackSpan()
	p := c.Plan
	d := &due{rate: rate, start: rate.Frame(start), frames: rate.Frame(length),
		ceiling: float64(p.Track.Peak.Value) / 10, target: float64(p.Track.Loudness.Value) / 10,
		noise: p.Track.Silence.Value == "noise", marks: marks(c, rate), bed: p.Bed.File.Pos.Given(),
		bedLevel: float64(p.Bed.Level.Value) / 10, bedDuck: float64(p.Bed.Duck.Value) / 10}
	if lossy && !p.Track.Peak.Pos.Given() {
		d.ceiling = lossyCeiling
	}
	changes := map[int64]string{}
	for i := range c.Segments {
		changes[int64(c.Segments[i].Start)] = fmt.Sprintf("the change to %q", c.Segments[i].Name())
	}
	for i := range l.Cues {
		q := &l.Cues[i]
		from := rate.Frame(start + q.Start)
		heard := span{from, from + rate.Frame(q.Length)}
		if q.Lane == cues.Speech {
			if len(q.Clips) > 0 {
				d.calls = append(d.calls, call{span: heard, name: strconv.Quote(q.Text)})
			}
			continue
		}
		if len(q.Clips) > 0 {
			d.calls = append(d.calls, call{heard, "the counted " + strconv.Quote(q.Text), true})
		}
		at := rate.Frame(start + q.Mark)
		switch {
		case q.Long:
			name, ok := changes[int64(q.Mark)]
			if !ok {
				name = "the end of the class"
			}
			d.tones = append(d.tones, sound{span: span{at, at + rate.Frame(cues.LongTone)}, shape: listen.LongTone, name: "the long tone on " + name})
		case p.Calls.Count.With.Value != "words":
			d.tones = append(d.tones, sound{span: span{at, at + rate.Frame(cues.ShortTone)}, shape: listen.ShortTone, name: "the beep of " + strconv.Quote(q.Text)})
		}
	}
	if p.Click.When.Value != "never" {
		d.addClicks(l)
	}
	byStart := func(a, b sound) int { return cmp.Compare(a.from, b.from) }
	slices.SortStableFunc(d.tones, byStart)
	slices.SortStableFunc(d.calls, func(a, b call) int { return cmp.Compare(a.from, b.from) })
	d.part()
	return d
}

// addClicks places the steps of every segment with a cadence: step k is at
// floor(k·60·rate/cadence + 1/2) frames after the segment's start, step 0 stays out.
// With the cadence in tenths that is (1200·k·rate + c) div 2c in whole numbers.
func (d *due) addClicks(l *cues.List) {
	start, _ := l.Class.TrackSpan()
	alternate := l.Class.Plan.Click.Feet.Value == "alternate"
	for i := range l.Class.Segments {
		s := &l.Class.Segments[i]
		cadence := s.Target.Cadence
		if cadence == 0 {
			continue
		}
		from, to := d.rate.Frame(start+s.Start), d.rate.Frame(start+s.End())
		for k := int64(1); ; k++ {
			at := from + (1200*k*int64(d.rate)+cadence)/(2*cadence)
			if at >= to {
				break
			}
			c := sound{span: span{at, at + d.ms(clickLength)}, shape: listen.LeftClick, name: "step " + strconv.FormatInt(k, 10) + " of " + strconv.Quote(s.Name())}
			if alternate && k%2 == 1 {
				c.shape = listen.RightClick
			}
			d.clicks = append(d.clicks, c)
		}
	}
}

// ms is a number of frames from milliseconds.
func (d *due) ms(n int64) int64 { return (n*int64(d.rate) + 500) / 1000 }

// part finds the silent stretches and which sounds stand alone.
func (d *due) part() {
	var all []span
	for _, s := range slices.Concat(d.tones, d.clicks) {
		all = append(all, s.span)
	}
	for _, c := range d.calls {
		s := c.span
		if c.counted {
			// The beat of a counted word falls on the frame of its mark; its start may be
			// one frame off the rounded one.
			s.from, s.to = s.from-2, s.to+2
		}
		all = append(all, s)
	}
	slices.SortFunc(all, func(a, b span) int { return cmp.Compare(a.from, b.from) })
	at := int64(0)
	for _, s := range all {
		s.from, s.to = max(0, s.from), min(s.to, d.frames)
		if s.from >= s.to {
			continue
		}
		if s.from > at {
			d.silent = append(d.silent, span{at, s.from})
			d.sounds = append(d.sounds, s)
		} else if n := len(d.sounds); n > 0 {
			d.sounds[n-1].to = max(d.sounds[n-1].to, s.to)
		} else {
			d.sounds = append(d.sounds, s)
		}
		at = max(at, s.to)
	}
	if at < d.frames {
		d.silent = append(d.silent, span{at, d.frames})
	}
	d.alone(d.tones, all)
	d.alone(d.clicks, all)
}

// alone marks those of sounds that nothing else is due to disturb, at their onset or
// as long as they sound. all is sorted by starts.
func (d *due) alone(sounds []sound, all []span) {
	longest := int64(0)
	for _, s := range all {
		longest = max(longest, s.to-s.from)
	}
	for i := range sounds {
		s := &sounds[i]
		if d.bed {
			continue
		}
		one := func(around span) bool {
			k, _ := slices.BinarySearchFunc(all, around.from-longest, func(a span, t int64) int { return cmp.Compare(a.from, t) })
			n := 0
			for ; k < len(all) && all[k].from < around.to; k++ {
				if all[k].touches(around) {
					n++
				}
			}
			return n == 1
		}
		s.alone, s.single = one(d.window(s)), one(s.span)
	}
}

// The stretch around the onset of a sound in which it is searched for, in
// milliseconds: some before it, and some of the sound itself.
const (
	before     = 10
	toneWindow = 90
	stepWindow = 30
)

// window is the stretch that is looked at to find the onset of a sound.
func (d *due) window(s *sound) span {
	length := d.ms(toneWindow)
	if !s.shape.IsTone() {
		length = d.ms(stepWindow)
	}
	return span{s.from - d.ms(before), min(s.from+length, s.to)}
}
