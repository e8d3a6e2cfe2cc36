// Package expect works out what a track has to hold, from the class and its list of
// cues: every tone, click, call and silence at its frame, with a name for messages. It
// counts frames by itself, so that a mistake of what mixes a track shows.
package expect

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"time"

	"cuewright/audio"
	"cuewright/audio/listen"
	"cuewright/cues"
	"cuewright/plan/settings"
)

// A Span is the frames From up to, not including, To.
type Span struct{ From, To int64 }

// Touches reports whether two spans share a frame.
func (s Span) Touches(t Span) bool { return s.From < t.To && t.From < s.To }

// A Sound is something due at a frame.
type Sound struct {
	Span
	Name string // for messages
	// Shape tells which known sound it is.
	Shape listen.Shape
	// Alone is false where another sound is due near its onset, which may hide it.
	Alone bool
	// Single is true where nothing else is due while it sounds.
	Single bool
}

// A Call is a stretch in which somebody speaks.
type Call struct {
	Span
	Name    string
	Counted bool // a word of the count
}

// Expected is everything a track has to hold, in frames of the file that is heard.
type Expected struct {
	// Rate is the frames a second of the file, and Plan what the plan wants of it.
	Rate   audio.Rate
	Plan   Form
	Title  string
	Start  int64 // class time zero
	Frames int64
	Tones  []Sound
	Clicks []Sound
	Calls  []Call
	Silent []Span // stretches
	Marks  []Mark
	// Ceiling and Target are the plan's promises, in dBTP and LUFS.
	Ceiling, Target float64
	Noise           bool // under digital silence
	Bed             bool // music: no silence is due
	// BedLevel and BedDuck are the plan's for the music, in LU and dB.
	BedLevel, BedDuck float64
	// Quiet is the longest time without a call or tone.
	Quiet time.Duration
}

// Form is what the plan wants a track to be.
type Form struct {
	Rate           audio.Rate
	Bits, Channels int
}

// clickLength is how long a click sounds, in milliseconds.
const clickLength = 50

// lossyCeiling is that of a lossy form where the plan gives none, in dBTP: EBU Tech
// 3343, Appendix 2.
const lossyCeiling = -2.0

// Of works out what is due at a rate of the file, in a lossy form or not.
func Of(l *cues.List, rate audio.Rate, lossy bool) *Expected {
	c := l.Class
	start, length := c.TrackSpan()
	p := c.Plan
	d := &Expected{Rate: rate, Plan: Form{audio.Rate(p.Track.Rate.Value), p.Track.Bits.Value, p.Track.Channels.Value}, Title: l.Title,
		Ceiling: float64(p.Track.Peak.Value) / 10, Target: float64(p.Track.Loudness.Value) / 10,
		Noise: p.Track.Silence.Value == settings.Noise, Bed: p.Bed.File.Pos.IsSet(),
		BedLevel: float64(p.Bed.Level.Value) / 10, BedDuck: float64(p.Bed.Duck.Value) / 10, Quiet: p.Calls.Quiet.Value}
	for i := range c.Segments {
		d.Quiet = max(d.Quiet, c.Segments[i].Calls.Quiet.Value)
	}
	d.Start, d.Frames, d.Marks = d.Frame(start), d.Frame(length), d.marks(c)
	if lossy && !p.Track.Peak.Pos.IsSet() {
		d.Ceiling = lossyCeiling
	}
	changes := map[int64]string{}
	for i := range c.Segments {
		changes[int64(c.Segments[i].Start)] = fmt.Sprintf("the change to %q", c.Segments[i].Name())
	}
	for i := range l.Cues {
		q := &l.Cues[i]
		from := d.Frame(start + q.Start)
		heard := Span{from, from + d.Frame(q.Length)}
		if q.Lane == cues.Speech {
			if len(q.Clips) > 0 {
				d.Calls = append(d.Calls, Call{Span: heard, Name: strconv.Quote(q.Text)})
			}
			continue
		}
		if len(q.Clips) > 0 {
			d.Calls = append(d.Calls, Call{heard, "the counted " + strconv.Quote(q.Text), true})
		}
		at := d.Frame(start + q.Mark)
		switch {
		case q.Long:
			name, ok := changes[int64(q.Mark)]
			if !ok {
				name = "the end of the class"
			}
			d.Tones = append(d.Tones, Sound{Span: Span{at, at + d.Frame(cues.LongTone)}, Shape: listen.LongTone, Name: "the long tone on " + name})
		case c.CountedWith(q.Mark) != settings.Words:
			d.Tones = append(d.Tones, Sound{Span: Span{at, at + d.Frame(cues.ShortTone)}, Shape: listen.ShortTone, Name: "the beep of " + strconv.Quote(q.Text)})
		}
	}
	if p.Click.When.Value != settings.Never {
		d.addClicks(l)
	}
	byStart := func(a, b Sound) int { return cmp.Compare(a.From, b.From) }
	slices.SortStableFunc(d.Tones, byStart)
	slices.SortStableFunc(d.Calls, func(a, b Call) int { return cmp.Compare(a.From, b.From) })
	d.part()
	return d
}

// addClicks places the steps of every segment with a cadence: step k is at
// floor(k·60·rate/cadence + 1/2) frames after the segment's start, step 0 stays out.
// With the cadence in tenths that is (1200·k·rate + c) div 2c in whole numbers.
func (d *Expected) addClicks(l *cues.List) {
	start, _ := l.Class.TrackSpan()
	alternate := l.Class.Plan.Click.Feet.Value == settings.Alternate
	for i := range l.Class.Segments {
		s := &l.Class.Segments[i]
		cadence := s.Target.Cadence
		if cadence == 0 {
			continue
		}
		from, to := d.Frame(start+s.Start), d.Frame(start+s.End())
		for k := int64(1); ; k++ {
			at := from + (1200*k*int64(d.Rate)+cadence)/(2*cadence)
			if at >= to {
				break
			}
			c := Sound{Span: Span{at, at + d.MS(clickLength)}, Shape: listen.LeftClick, Name: "step " + strconv.FormatInt(k, 10) + " of " + strconv.Quote(s.Name())}
			if alternate && k%2 == 1 {
				c.Shape = listen.RightClick
			}
			d.Clicks = append(d.Clicks, c)
		}
	}
}

// MS is a number of frames from milliseconds.
func (d *Expected) MS(n int64) int64 { return (n*int64(d.Rate) + 500) / 1000 }

// part finds the silent stretches and which sounds stand alone.
func (d *Expected) part() {
	var all []Span
	for _, s := range slices.Concat(d.Tones, d.Clicks) {
		all = append(all, s.Span)
	}
	for _, c := range d.Calls {
		s := c.Span
		if c.Counted {
			// The beat of a counted word falls on the frame of its mark; its start may be
			// one frame off the rounded one.
			s.From, s.To = s.From-2, s.To+2
		}
		all = append(all, s)
	}
	slices.SortFunc(all, func(a, b Span) int { return cmp.Compare(a.From, b.From) })
	at := int64(0)
	for _, s := range all {
		s.From, s.To = max(0, s.From), min(s.To, d.Frames)
		if s.From >= s.To {
			continue
		}
		if s.From > at {
			d.Silent = append(d.Silent, Span{at, s.From})
		}
		at = max(at, s.To)
	}
	if at < d.Frames {
		d.Silent = append(d.Silent, Span{at, d.Frames})
	}
	d.alone(d.Tones, all)
	d.alone(d.Clicks, all)
}

// alone marks those of sounds that nothing else is due to disturb, at their onset or
// as long as they Sound. all is sorted by starts.
func (d *Expected) alone(sounds []Sound, all []Span) {
	longest := int64(0)
	for _, s := range all {
		longest = max(longest, s.To-s.From)
	}
	for i := range sounds {
		s := &sounds[i]
		if d.Bed {
			continue
		}
		one := func(around Span) bool {
			k, _ := slices.BinarySearchFunc(all, around.From-longest, func(a Span, t int64) int { return cmp.Compare(a.From, t) })
			n := 0
			for ; k < len(all) && all[k].From < around.To; k++ {
				if all[k].Touches(around) {
					n++
				}
			}
			return n == 1
		}
		s.Alone, s.Single = one(d.Window(s)), one(s.Span)
	}
}

// Before is how much before the onset of a sound it is searched for, in milliseconds.
const Before = 10

// Length is how many frames of a sound are looked at from its onset on.
func (d *Expected) Length(s listen.Shape) int64 {
	if s.IsTone() {
		return d.MS(90)
	}
	return d.MS(30)
}

// Window is the stretch that is looked at to find the onset of a sound.
func (d *Expected) Window(s *Sound) Span {
	return Span{s.From - d.MS(Before), min(s.From+d.Length(s.Shape), s.To)}
}

// QuietAround tells whether silence is due on both sides of a sound.
func (d *Expected) QuietAround(s Span) bool {
	const aside = 150 // ms; a click nearer than that may count as part of the tone
	before, _ := slices.BinarySearchFunc(d.Silent, s.From, func(v Span, t int64) int { return cmp.Compare(v.To, t) })
	if before+1 >= len(d.Silent) {
		return false
	}
	b, a := d.Silent[before], d.Silent[before+1]
	return b.To == s.From && a.From == s.To && min(b.To-b.From, a.To-a.From) >= d.MS(aside)
}

// Open tells whether silence is due before (side -1) or after (side 1) a frame,
// and nothing but the call there beside it.
func (d *Expected) Open(at int64, side int64) bool {
	out, in := d.MS(4), d.MS(10)
	s := Span{at - out, at + in}
	if side > 0 {
		s = Span{at - in, at + out}
	}
	touch := func(x []Sound) bool {
		// None of the sounds lasts longer than a second.
		k, _ := slices.BinarySearchFunc(x, s.From-int64(d.Rate), func(a Sound, t int64) int { return cmp.Compare(a.From, t) })
		for ; k < len(x) && x[k].From < s.To; k++ {
			if x[k].Touches(s) {
				return true
			}
		}
		return false
	}
	if d.Bed || touch(d.Tones) || touch(d.Clicks) {
		return false
	}
	n := 0
	for i := range d.Calls {
		if d.Calls[i].Touches(s) {
			n++
		}
	}
	return n == 1
}

// The tones' level in LU and how much louder than on the whole music is taken to be
// in passing, in dB.
const (
	toneLevel  = -6.0
	musicCrest = 3.5
	// masking is the share from which tones cannot be told from music.
	masking = 0.7
)

// MusicShare is the amplitude of the ducked music in that of the tones, 1 at most. By
// the sine of as much it turns them where all of it is at their pitch.
func (d *Expected) MusicShare() float64 {
	return min(1, math.Pow(10, (d.BedLevel+d.BedDuck-toneLevel+musicCrest)/20))
}

// Masked tells whether music is so loud that no tone or click is sure to stand out.
func (d *Expected) Masked() bool { return d.Bed && d.MusicShare() > masking }
