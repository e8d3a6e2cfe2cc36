package verify

import (
	"fmt"
	"math"

	"cuewright/cues/verify/measure"
	"cuewright/cues/verify/report"
)

const (
	// musicWithin is how far the music's loudness may be off the plan's, in LU. Noise
	// of one level is 0.5 louder: speech loses that much to the limiter. And what is
	// heard where nobody speaks is a part of the music, while the plan's level is that
	// of the whole of it.
	musicWithin = 2.0
	// duckWithin is the same for how far it goes down: it is heard in passages.
	duckWithin = 3.0
	// fadedBy is how far under its level the first and last moments are at least, in
	// dB: a raised cosine leaves -39 dB of it at their inner ends.
	fadedBy = 20.0
	// lostBy is how far under its level music is taken for missing.
	lostBy = 20.0
	// minMusic is how long it must be heard to be measured, in ms.
	minMusic = 3000
)

// bed judges the music.
func (j *judge) bed() report.Check {
	d, m := j.want, &j.heard.Music
	c := report.Check{Name: report.Music, Due: 4}
	speech := j.heard.Levels.Loudness
	if math.IsInf(speech, -1) {
		speech = d.Target
	} else {
		// The ducked music is part of what is measured of the calls.
		speech -= 10 * math.Log10(1+math.Pow(10, (d.BedLevel+d.BedDuck)/10))
	}
	want := speech + d.BedLevel
	least := d.MS(minMusic)
	measured := func(s *measure.Passages, least int64) (lufs float64, ok bool) {
		if s.Frames < least {
			c.Hidden++
			return 0, false
		}
		return s.Loudness, true
	}
	beside := func(by float64) string {
		return fmt.Sprintf("%.1f LU %s", math.Abs(by), report.Either(by > 0, "louder", "softer"))
	}
	free, heard := measured(&m.Free, least)
	c.Text = "too little is heard of it alone to measure its level"
	if heard {
		c.Text = fmt.Sprintf("%.1f LUFS where nobody speaks, %.1f wanted (limit ± %g)", free, want, musicWithin)
		switch by := free - want; {
		case by < -lostBy:
			c.Whole("no music is heard")
			c.Due, c.Hidden, c.Text = 1, 0, "none is heard where nobody speaks"
			return c
		case math.Abs(by) > musicWithin:
			c.Whole("the music is %s than the plan wants", beside(by))
		default:
			c.Heard++
		}
	} else {
		free = want
	}
	if down, ok := measured(&m.Down, least/2); ok {
		c.Text += fmt.Sprintf("; beside calls %.1f LU of it, %g wanted (limit ± %g)", down-free, d.BedDuck, duckWithin)
		if by := down - free - d.BedDuck; math.Abs(by) > duckWithin {
			c.Whole("beside calls the music is %s than the plan wants", beside(by))
		} else {
			c.Heard++
		}
	} else {
		c.Text += "; too little is heard of it beside calls"
	}
	for i, name := range []string{"begins", "ends"} {
		switch e := &m.Ends[i]; {
		case e.Frames == 0 || m.Free.Frames < least:
			c.Hidden++
			continue
		case e.Level > m.Free.Level-fadedBy:
			c.Whole("the music %s without a fade", name)
		default:
			c.Heard++
		}
		c.Text += fmt.Sprintf("; it %s %.0f dB under that", name, m.Free.Level-m.Ends[i].Level)
	}
	return c
}
