package track

import (
	"cmp"
	"math"
	"slices"

	"cuewright/audio"
	"cuewright/audio/bed"
	"cuewright/audio/clip"
	"cuewright/audio/loudness"
	"cuewright/audio/mix"
	"cuewright/audio/mix/master"
	"cuewright/cues"
	"cuewright/plan"
	"cuewright/plan/class"
	"cuewright/plan/settings"
)

// Levels of what is no speech, in LU of the loudest 400 ms relative to the
// voice's; the click's is the plan's.
const toneLevel = -6.0 // the tones of the count. Common practice: heard, not feared

// tone is the pitch of the count, that of the hourly time signal
// (testdata/reference/time_signal).
const tone = 1000.0

// clickDuck is how far the click goes down under speech, in dB. Two partials of
// the click stay at least 13 dB over speech in their band nine tenths of the
// time at this level (measured for this project).
const clickDuck = -4.0

// A Track is a class as sound, not yet written.
type Track struct {
	Rate audio.Rate
	Form Form
	// Frames is the length of the track.
	Frames int64
	// Master is the mix, brought to the plan's loudness under its ceiling.
	Master *master.Master
	plan   *plan.Plan
	list   *cues.List
	// stretch is what is written of it.
	stretch mix.Span
	cut     bool // an excerpt was asked for
}

// New mixes a list whose cues the speaker has performed, for a form of file, over a
// bed of music at the track's rate, if music is not nil. The bed is read until the
// track is written.
func New(l *cues.List, s *Speaker, form Form, music *bed.Bed) *Track {
	t := &Track{Rate: s.rate, Form: form, plan: l.Class.Plan, list: l}
	start, length := l.Class.TrackSpan()
	frame := func(c *cues.Cue) int64 { return t.Rate.Frame(start + c.Start) }
	var spoken []mix.Span
	events := t.tones()
	called := sounding(events) // the count and all that is spoken
	for i := range l.Cues {
		c := &l.Cues[i]
		if len(c.Clips) == 0 {
			continue
		}
		at := frame(c)
		placed := s.performed[performance(c.Text, c.Clips)]
		if c.Lane == cues.CountLane {
			// The beat falls on the frame of the mark itself, whatever rounding did
			// to the start of the sound.
			at = t.Rate.Frame(start+c.Mark) - placed[0].Clip.Beat
		}
		end := at
		for _, p := range placed {
			events = append(events, mix.Event{At: at + p.Offset, Samples: p.Clip.Samples, Gain: 1})
			end = max(end, at+p.Offset+int64(len(p.Clip.Samples)))
		}
		called = append(called, mix.Span{From: at, To: end})
		if c.Lane == cues.Speech {
			spoken = append(spoken, mix.Span{From: at, To: end})
		}
	}
	t.Frames = t.Rate.Frame(length)
	t.stretch = mix.Span{To: t.Frames}
	m := mix.New(t.Frames, append(events, t.clicks(spoken)...))
	if music != nil {
		slices.SortFunc(called, func(a, b mix.Span) int { return cmp.Compare(a.From, b.From) })
		under := master.Loudness(m, t.Rate, spoken, clip.Level+twoSpeakers) + tenths(t.plan.Bed.Level.Value) - music.Loudness
		m.Lay(t.Rate, music, math.Pow(10, under/20), mix.NewDuck(t.Rate, called, tenths(t.plan.Bed.Duck.Value)))
	}
	p := t.plan.Track
	t.Master = master.New(m, t.Rate, spoken, clip.Level+twoSpeakers,
		master.Target{Loudness: tenths(p.Loudness.Value), Peak: form.ceiling(t.plan)})
	return t
}

// tenths is a level of a plan in decibels.
func tenths(level int64) float64 { return float64(level) / 10 }

// sounding are the stretches of events.
func sounding(events []mix.Event) []mix.Span {
	var spans []mix.Span
	for _, e := range events {
		spans = append(spans, mix.Span{From: e.At, To: e.At + int64(len(e.Samples))})
	}
	return spans
}

// twoSpeakers is what a sound gains by coming from two speakers, in LU: 10·log10 2.
var twoSpeakers = 10 * math.Log10(2)

// levelled returns the gain that brings the loudest 400 ms of s to a level in
// LU relative to the voice's.
func levelled(s audio.Sound, relative float64) float32 {
	const window = 400_000_000
	return float32(math.Pow(10, (clip.Level+relative-loudness.MaxWindow(s, window))/20))
}

// tones are the beeps of the count. All have the level at which the long one
// reaches toneLevel.
func (t *Track) tones() []mix.Event {
	short, long := beep(t.Rate, tone, cues.ShortTone), beep(t.Rate, tone, cues.LongTone)
	gain := levelled(long, toneLevel)
	start, _ := t.list.Class.TrackSpan()
	var events []mix.Event
	for i := range t.list.Cues {
		c := &t.list.Cues[i]
		if c.Lane != cues.CountLane || !c.Long && t.list.Class.CountedWith(c.Mark) == settings.Words {
			continue
		}
		sound := short
		if c.Long {
			sound = long
		}
		events = append(events, mix.Event{At: t.Rate.Frame(start + c.Mark), Samples: sound.Samples, Gain: gain})
	}
	return events
}

// pattern is some steps at a cadence, by which clicks are weighed: from 151 on two of them fall into 400 ms.
func pattern(rate audio.Rate, feet [2]audio.Sound, cadence int64) audio.Sound {
	const steps = 4
	s := audio.Sound{Rate: rate, Samples: make([]float32, stepFrame(rate, steps, cadence)+int64(len(feet[0].Samples)))}
	for k := int64(0); k <= steps; k++ {
		for i, x := range feet[k%2].Samples {
			if at := stepFrame(rate, k, cadence) + int64(i); at < int64(len(s.Samples)) {
				s.Samples[at] += x
			}
		}
	}
	return s
}

// clicks are the steps of every segment with a cadence. Step 0 stays out: the
// change's own tone sounds there.
func (t *Track) clicks(spoken []mix.Span) []mix.Event {
	click := t.plan.Click
	if click.When.Value == settings.Never {
		return nil
	}
	feet := [2]audio.Sound{tick(t.Rate, false), tick(t.Rate, click.Feet.Value == settings.Alternate)}
	gains := map[int64]float32{} // by cadence
	duck := mix.NewDuck(t.Rate, spoken, clickDuck)
	start, _ := t.list.Class.TrackSpan()
	var events []mix.Event
	for i := range t.list.Class.Segments {
		seg := &t.list.Class.Segments[i]
		if seg.Target.Cadence == 0 {
			continue
		}
		gain, ok := gains[seg.Target.Cadence]
		if !ok {
			gain = levelled(pattern(t.Rate, feet, seg.Target.Cadence), float64(click.Level.Value)/10)
			gains[seg.Target.Cadence] = gain
		}
		from, to := t.Rate.Frame(start+seg.Start), t.Rate.Frame(start+seg.End())
		for k := int64(1); ; k++ {
			at := from + stepFrame(t.Rate, k, seg.Target.Cadence)
			if at >= to {
				break
			}
			events = append(events, mix.Event{At: at, Samples: feet[k%2].Samples, Gain: gain * float32(duck.Gain(at))})
		}
	}
	return events
}

// allMarkers are the places of the track a player can jump to: opening, every
// segment by name, closing.
func allMarkers(c *class.Class, rate audio.Rate) []audio.Marker {
	start, _ := c.TrackSpan()
	markers := []audio.Marker{{Frame: 0, Label: "opening"}}
	for i := range c.Segments {
		markers = append(markers, audio.Marker{Frame: rate.Frame(start + c.Segments[i].Start), Label: c.Segments[i].Name()})
	}
	return append(markers, audio.Marker{Frame: rate.Frame(start + c.Length), Label: "closing"})
}
