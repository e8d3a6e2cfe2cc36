package verify

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"cuewright/audio/listen"
	"cuewright/cues"
	"cuewright/plan/units"
)

// listening is one track being measured against its list.
type listening struct {
	rec     *Recording
	list    *cues.List
	crest   float64 // dB
	due     *due
	lay     lay
	frames  int64 // of the file
	tones   *onsets
	clicks  *onsets
	silent  *silences
	callEar *callEar
	levels  *levels
	music   *music // nil where none is due

	errors      map[string]common // of tones and clicks
	otherLength int               // calls that last otherwise than due
	louder      float64           // LU
}

// Listen measures a recording against the list it should hold. crest is how far the
// highest sample of the recordings spoken in it stands over their loudness as heard
// from two speakers, in dB: it tells whether the ceiling can hold the loudness down. The
// error is for a recording that cannot be read to its end.
func Listen(ctx context.Context, rec *Recording, list *cues.List, crest float64) (*Report, error) {
	l := &listening{rec: rec, list: list, crest: crest, due: promise(list, rec.Rate, rec.Lossy), errors: map[string]common{}}
	s := listen.NewScout(rec.Rate)
	if _, err := rec.blocks(func(x []float32) { s.Hear(x) }, nil); err != nil {
		return nil, err
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	l.lay = align(s.Tones(), l.due)
	shift := l.lay.shift
	limit, guard := l.silenceLimits()
	if shift != 0 {
		guard += l.due.ms(2) // it is known to a millisecond
	}
	l.tones, l.clicks = newOnsets(l.due, l.due.tones, shift), newOnsets(l.due, l.due.clicks, shift)
	l.silent = newSilences(l.due, shift, guard, limit)
	if l.due.bed {
		l.silent.spans = nil
	}
	l.callEar = &callEar{d: l.due, shift: shift, digital: limit == 0 && !l.due.bed}
	l.levels = newLevels(l.due, shift, rec.Rate, rec.Channels)
	ears := []ear{l.tones, l.clicks, l.silent, l.callEar, l.levels}
	if l.due.bed {
		l.music = newMusic(l.due, shift)
		ears = append(ears, l.music)
	}
	w := &window{keep: l.longest()}
	var err error
	l.frames, err = rec.blocks(func(x []float32) {
		w.add(x)
		for _, e := range ears {
			e.hear(w)
		}
	}, l.levels.add)
	if err == nil {
		err = ctx.Err()
	}
	if err != nil {
		return nil, err
	}
	w.over = true
	for _, e := range ears {
		e.hear(w)
	}
	return l.report(), nil
}

// longest is how many frames an ear may look back.
func (l *listening) longest() int {
	most := l.due.ms(1000)
	for _, c := range l.due.calls {
		most = max(most, c.to-c.from+l.due.ms(lookFore+lookPast+100))
	}
	return int(most)
}

// copied tells whether the file was made from the track at another rate.
func (l *listening) copied() bool { return int(l.rec.Rate) != l.list.Class.Plan.Track.Rate.Value }

// report brings what was heard together.
func (l *listening) report() *Report {
	r := &Report{Form: l.form(), Right: true}
	if l.soiledEdges() > 0 {
		l.callEar.digital = false // the copy's traces lie around the calls
	}
	r.Checks = append(r.Checks, l.formCheck(), l.length(), l.place("tones", l.tones))
	if len(l.due.clicks) > 0 {
		r.Checks = append(r.Checks, l.place("clicks", l.clicks))
	}
	r.Checks = append(r.Checks, l.calls(false))
	if slices.ContainsFunc(l.due.calls, func(c call) bool { return c.counted }) {
		r.Checks = append(r.Checks, l.calls(true))
	}
	if l.music != nil {
		r.Checks = append(r.Checks, l.bed())
	} else {
		r.Checks = append(r.Checks, l.silence(), l.pauses())
	}
	r.Checks = append(r.Checks, l.loudness(), l.peak(), l.clipping(), l.markers())
	for i := range r.Checks {
		c := &r.Checks[i]
		c.Right = len(c.Faults) == 0
		r.Right = r.Right && c.Right
		if c.Faults == nil {
			c.Faults = []Fault{}
		}
		if c.Name == "tones" || c.Name == "clicks" || c.Name == "markers" {
			for _, f := range c.Faults {
				if math.Abs(f.ErrorMS) > math.Abs(r.Largest) {
					r.Largest = f.ErrorMS
				}
			}
		}
	}
	for _, e := range l.errors {
		if ms := l.due.inMS(e.worst); math.Abs(ms) > math.Abs(r.Largest) {
			r.Largest = ms
		}
	}
	if !r.Right {
		r.LooksLike = l.looksLike()
	}
	return r
}

func (l *listening) form() string {
	text := fmt.Sprintf("%s, %d frames a second", units.FormatLength(l.due.rate.Length(l.frames).Truncate(1e6)), l.rec.Rate)
	if l.rec.Bits > 0 {
		text += fmt.Sprintf(", %d bit", l.rec.Bits)
	}
	switch l.rec.Channels {
	case 1:
		text += ", mono"
	case 2:
		text += ", stereo"
	default:
		text += fmt.Sprintf(", %d channels", l.rec.Channels)
	}
	if l.rec.Lossy {
		text += ", a form that keeps no exact samples: limits are wider"
	}
	return text
}

// formCheck compares what the file is with what the plan wants.
func (l *listening) formCheck() Check {
	c := Check{Name: "form", Due: 1, Heard: 1}
	t := l.list.Class.Plan.Track
	channels := map[int]string{1: "1 channel", 2: "2 channels"}[t.Channels.Value]
	c.Text = fmt.Sprintf("%d frames a second, %d bit, %s wanted", t.Rate.Value, t.Bits.Value, channels)
	if l.copied() && !l.rec.Lossy { // Opus has one rate of its own
		c.whole("the file has %d frames a second", l.rec.Rate)
	}
	if l.rec.Bits > 0 && l.rec.Bits != t.Bits.Value {
		c.whole("the file has %d bits", l.rec.Bits)
	}
	if l.rec.Channels != t.Channels.Value && !l.rec.Lossy {
		c.whole("the file has %d channels", l.rec.Channels)
	}
	if !l.rec.Lossy && l.levels.apart > 0 {
		c.whole("its channels differ, up to %.1f dBFS", decibels(l.levels.apart))
	}
	return c
}

// lossyLength is how much longer than its class a lossy file may be, in ms: it
// holds whole blocks of the codec.
const lossyLength = 100

func (l *listening) length() Check {
	c := Check{Name: "length", Due: 1, Heard: 1}
	off := l.frames - l.due.frames
	limit := int64(0)
	if l.rec.Lossy {
		limit = l.due.ms(lossyLength)
	} else if l.copied() {
		limit = 2
	}
	c.Text = fmt.Sprintf("%s, %d frames, %d promised (limit ± %d)", units.FormatLength(l.due.rate.Length(l.frames).Truncate(1e6)), l.frames, l.due.frames, limit)
	if off < -limit || off > limit {
		way := "too long"
		if off < 0 {
			way = "too short"
		}
		c.Heard = 0
		c.whole("%s %s", millis(l.due.inMS(float64(off))), way)
	}
	return c
}

// common is what the errors of one kind of sound have in common.
type common struct {
	worst, median float64 // frames
	alike         bool    // nearly all lie within half a frame of the median
	heard         int
}

// Limits of where a tone or a click begins: half a frame, under another
// sound two and a half, or in a lossy form a millisecond.
// Measured with a sample as MP3 of 64 to 192 kbit/s, AAC of 96 and Opus of 64, all
// with their delay taken off: 0.002 ms at most.
const (
	exactPlace   = 0.5 // frames
	coveredPlace = 2.5 // frames, for a tone under a word or a click
	lossyPlace   = 1.0 // ms
)

func (l *listening) placeLimit() (frames float64) {
	switch {
	case l.rec.Lossy:
		return lossyPlace * float64(l.due.rate) / 1000
	case l.due.bed:
		return max(coveredPlace, math.Asin(l.due.musicShare())/listen.Turn(l.due.rate))
	case l.copied():
		return 1 // both places are rounded to frames
	}
	return exactPlace
}

// place judges tones or clicks.
func (l *listening) place(name string, o *onsets) Check {
	c := Check{Name: name, Due: len(o.sounds)}
	limit, usual := l.placeLimit(), o.usual()
	var offs, beneath []float64
	verdicts := make([]verdict, len(o.sounds))
	for i := range o.sounds {
		if verdicts[i] = o.judge(i, usual, limit, l.rec.Lossy); verdicts[i] == placed {
			offs = append(offs, o.fits[i].Off+float64(o.shift))
		} else if verdicts[i] == covered {
			beneath = append(beneath, o.fits[i].Off+float64(o.shift))
		}
	}
	if len(offs) == 0 {
		offs = beneath // they tell less
	}
	e := l.inCommon(offs)
	l.errors[name] = e
	all := e.alike && math.Abs(e.median) > limit
	if all {
		c.whole("all of them are %s", l.due.off(e.median))
	}
	under := 0
	for i, s := range o.sounds {
		off := o.fits[i].Off + float64(o.shift)
		limit := limit
		switch verdicts[i] {
		case hidden:
			c.Hidden++
		case absent:
			c.fault(l.due, s.from, 0, "%s is missing", s.name)
		case unlike:
			c.fault(l.due, s.from, 0, "%s is not what is heard here", s.name)
		default:
			if verdicts[i] == covered {
				limit = max(limit, coveredPlace)
				under++
			}
			switch {
			case all && math.Abs(off-e.median) <= max(limit, 1):
			case all && !s.alone && !s.shape.IsTone():
				c.Hidden++ // under another sound it may be a period off
			case math.Abs(off) > limit:
				c.fault(l.due, s.from, l.due.inMS(off), "%s is %s", s.name, l.due.off(off))
			default:
				c.Heard++
			}
		}
	}
	for _, n := range l.wrongLengths(o) {
		s := o.sounds[n.i]
		c.fault(l.due, s.from, 0, "%s lasts %.0f ms, not %.0f", s.name, l.due.inMS(float64(n.lasts)), l.due.inMS(float64(s.to-s.from)))
	}
	limits := millis(l.due.inMS(limit))
	if l.due.bed && !l.rec.Lossy {
		limits += " under music"
	}
	if under > 0 && limit < coveredPlace {
		limits += fmt.Sprintf(", for %d under other sounds %s", under, millis(l.due.inMS(coveredPlace)))
	}
	c.Text = fmt.Sprintf("%s, off by %s at most (limit %s)", l.count(&c), millis(l.due.inMS(e.worst)), limits)
	return c
}

// inCommon looks at errors in frames.
func (l *listening) inCommon(offs []float64) common {
	e := common{heard: len(offs)}
	if len(offs) == 0 {
		return e
	}
	sorted := slices.Clone(offs)
	slices.Sort(sorted)
	e.median = sorted[len(sorted)/2]
	near := 0
	for _, o := range offs {
		if math.Abs(o) > math.Abs(e.worst) {
			e.worst = o
		}
		if math.Abs(o-e.median) <= 1 {
			near++
		}
	}
	e.alike = len(offs) >= 3 && near*10 >= len(offs)*9
	return e
}

// count says how many were measured of how many due.
func (l *listening) count(c *Check) string {
	text := fmt.Sprintf("%d of %d right", c.Heard, c.Due)
	if c.Hidden > 0 && l.due.bed {
		text += fmt.Sprintf(", %d not measurable here under the music", c.Hidden)
	} else if c.Hidden > 0 {
		text += fmt.Sprintf(", %d not measurable here under other sounds", c.Hidden)
	}
	return text
}

// lengthWithin is how far the length of a tone may be off, in ms, as the scout hears
// it. Over 1,300 beeps and long tones of random plans it was 0.4 to 1.7 ms short.
const lengthWithin = 5

// A wrongLength is a tone that ends elsewhere.
type wrongLength struct {
	i     int
	lasts int64
}

// wrongLengths finds tones that last otherwise than due, of those with nothing else
// within them and silence around: a click that begins early in a beep makes the scout
// hear the tone anew behind it, up to 21 ms short.
func (l *listening) wrongLengths(o *onsets) []wrongLength {
	var out []wrongLength
	if o != l.tones {
		return nil
	}
	within := l.due.ms(20)
	k := 0
	for i, s := range o.sounds {
		if !s.single || !l.due.quietAround(s.span) {
			continue
		}
		at := s.from + o.shift
		for k < len(l.lay.heard) && l.lay.heard[k].From < at-within {
			k++
		}
		if k < len(l.lay.heard) && l.lay.heard[k].From <= at+within {
			h := l.lay.heard[k]
			if by := (h.To - h.From) - (s.to - s.from); max(by, -by) > l.due.ms(lengthWithin) {
				out = append(out, wrongLength{i, h.To - h.From})
			}
		}
	}
	return out
}

// quietAround tells whether silence is due on both sides of a sound.
func (d *due) quietAround(s span) bool {
	const aside = 150 // ms; a click nearer than that may count as part of the tone
	before, _ := slices.BinarySearchFunc(d.silent, s.from, func(v span, t int64) int { return cmp.Compare(v.to, t) })
	if before+1 >= len(d.silent) {
		return false
	}
	b, a := d.silent[before], d.silent[before+1]
	return b.to == s.from && a.from == s.to && min(b.to-b.from, a.to-a.from) >= d.ms(aside)
}
