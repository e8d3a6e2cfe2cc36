package verify

import (
	"fmt"
	"math"
	"slices"

	"cuewright/audio/loudness"
)

// The course of music that is due, as the project documents it, in milliseconds: it
// fades in and out at the ends of the track, is down when a call begins, stays down
// after it, and through pauses that are shorter than the bridge.
const (
	musicIn, musicOut                = 3000, 6000
	duckDown, duckHold, duckUp       = 250, 400, 800
	duckBridge                       = 1200
	shortFree                        = 40       // stretches between sounds shorter than that are left out
	musicStart, musicEnd             = 200, 400 // of a fade, in which hardly anything is heard
	leastMusic                 int64 = 3000
)

const (
	// musicWithin is how far the music's loudness may be off the plan's, in LU. Noise
	// of one level is 0.5 louder: speech loses that much to the limiter. And what is
	// heard where nobody speaks is a part of the music, while the plan's level is that
	// of the whole of it.
	musicWithin = 2.0
	// duckWithin is the same for how far it goes down: it is heard in scraps.
	duckWithin = 3.0
	// fadedBy is how far under its level the first and last moments are at least, in
	// dB: a raised cosine leaves -39 dB of it at their inner ends.
	fadedBy = 20.0
	// lostBy is how far under its level music is taken for missing.
	lostBy = 20.0
)

// The tones' level in LU and how much louder than on the whole music is taken to be
// in passing, in dB.
const (
	toneLevel  = -6.0
	musicCrest = 3.5
	// drowning is the share from which tones cannot be told from music.
	drowning = 0.7
)

// musicShare is the amplitude of the ducked music in that of the tones, 1 at most. By
// the sine of as much it turns them where all of it is at their pitch.
func (d *due) musicShare() float64 {
	return min(1, math.Pow(10, (d.bedLevel+d.bedDuck-toneLevel+musicCrest)/20))
}

// drowned tells whether music is so loud that no tone or click is sure to stand out.
func (d *due) drowned() bool { return d.bed && d.musicShare() > drowning }

// music hears the bed in the gaps that calls, tones and clicks leave.
type music struct {
	free, down scraps
	ends       [2]scraps // the first moments and the last
}

// Scraps are stretches whose loudness is measured as if joined end to end.
type scraps struct {
	walk
	done   int
	frames int64
	meter  *loudness.Meter
	power  float64
}

func (s *scraps) hear(w *window) {
	s.pieces(w, func(_ int, _ int64, x []float32) {
		s.meter.Add(x)
		s.frames += int64(len(x))
		for _, v := range x {
			s.power += float64(v) * float64(v)
		}
	}, &s.done)
}

// level is the RMS in dBFS.
func (s *scraps) level() float64 { return 10 * math.Log10(s.power/float64(s.frames)) }

func (m *music) hear(w *window) {
	for _, s := range []*scraps{&m.free, &m.down, &m.ends[0], &m.ends[1]} {
		s.hear(w)
	}
}

// newMusic finds where the music is heard alone: at its level, and ducked.
func newMusic(d *due, shift int64) *music {
	var called []span
	for _, s := range d.tones {
		called = append(called, s.span)
	}
	for _, c := range d.calls {
		called = append(called, c.span)
	}
	slices.SortFunc(called, func(a, b span) int { return int(a.from - b.from) })
	m := &music{}
	last := span{0, d.ms(musicIn) - d.ms(duckHold) - d.ms(duckUp)} // as if called till then
	first := true
	for _, s := range append(called, span{d.frames - d.ms(musicOut) + d.ms(duckDown), d.frames}) {
		switch gap := s.from - last.to; {
		case gap <= 0:
		case first || gap >= d.ms(duckBridge):
			m.free.spans = append(m.free.spans, span{last.to + d.ms(duckHold) + d.ms(duckUp), s.from - d.ms(duckDown)})
			if !first {
				m.down.spans = append(m.down.spans, span{last.to, last.to + d.ms(duckHold)})
			}
		default:
			m.down.spans = append(m.down.spans, span{last.to, s.from})
		}
		first = false
		last.to = max(last.to, s.to)
	}
	inner := span{d.ms(musicIn), d.frames - d.ms(musicOut)}
	m.free.spans = d.between(m.free.spans, inner, shift)
	m.down.spans = d.between(m.down.spans, inner, shift)
	m.ends[0].spans = d.between([]span{{0, d.ms(musicStart)}}, span{0, d.frames}, shift)
	m.ends[1].spans = d.between([]span{{d.frames - d.ms(musicEnd), d.frames}}, span{0, d.frames}, shift)
	for _, s := range []*scraps{&m.free, &m.down, &m.ends[0], &m.ends[1]} {
		s.meter = loudness.NewMeter(d.rate, twoSpeakers)
	}
	return m
}

// between are the parts of spans, in order, in which nothing else is due, within a
// stretch, moved by a shift.
func (d *due) between(spans []span, within span, shift int64) []span {
	var out []span
	for _, s := range spans {
		s = span{max(s.from, within.from), min(s.to, within.to)}
		k, _ := slices.BinarySearchFunc(d.silent, s.from, func(v span, t int64) int { return int(min(max(v.to-t, -1), 1)) })
		for ; k < len(d.silent) && d.silent[k].from < s.to; k++ {
			if v := (span{max(s.from, d.silent[k].from) + shift, min(s.to, d.silent[k].to) + shift}); v.to-v.from >= d.ms(shortFree) {
				out = append(out, v)
			}
		}
	}
	return out
}

// bed judges the music.
func (l *listening) bed() Check {
	d, m := l.due, l.music
	c := Check{Name: "music", Due: 4}
	speech := l.levels.meter.Integrated()
	if math.IsInf(speech, -1) {
		speech = d.target
	} else {
		// The ducked music is part of what is measured of the calls.
		speech -= 10 * math.Log10(1+math.Pow(10, (d.bedLevel+d.bedDuck)/10))
	}
	want := speech + d.bedLevel
	least := d.ms(leastMusic)
	measured := func(s *scraps, least int64) (lufs float64, ok bool) {
		if s.frames < least {
			c.Hidden++
			return 0, false
		}
		return s.meter.Integrated(), true
	}
	off := func(by float64) string {
		return fmt.Sprintf("%.1f LU %s", math.Abs(by), map[bool]string{true: "louder", false: "softer"}[by > 0])
	}
	free, heard := measured(&m.free, least)
	c.Text = "too little is heard of it alone to measure its level"
	if heard {
		c.Text = fmt.Sprintf("%.1f LUFS where nobody speaks, %.1f wanted (limit ± %g)", free, want, musicWithin)
		switch by := free - want; {
		case by < -lostBy:
			c.whole("no music is heard")
			c.Due, c.Hidden, c.Text = 1, 0, "none is heard where nobody speaks"
			return c
		case math.Abs(by) > musicWithin:
			c.whole("the music is %s than the plan wants", off(by))
		default:
			c.Heard++
		}
	} else {
		free = want
	}
	if down, ok := measured(&m.down, least/2); ok {
		c.Text += fmt.Sprintf("; beside calls %.1f LU of it, %g wanted (limit ± %g)", down-free, d.bedDuck, duckWithin)
		if by := down - free - d.bedDuck; math.Abs(by) > duckWithin {
			c.whole("beside calls the music is %s than the plan wants", off(by))
		} else {
			c.Heard++
		}
	} else {
		c.Text += "; too little is heard of it beside calls"
	}
	for i, name := range []string{"begins", "ends"} {
		switch e := &m.ends[i]; {
		case e.frames == 0 || m.free.frames < least:
			c.Hidden++
			continue
		case e.level() > m.free.level()-fadedBy:
			c.whole("the music %s without a fade", name)
		default:
			c.Heard++
		}
		c.Text += fmt.Sprintf("; it %s %.0f dB under that", name, m.free.level()-m.ends[i].level())
	}
	return c
}
