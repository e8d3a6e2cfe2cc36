// Package container judges what a file says of itself, whatever sounds in it: its rate,
// bits and channels, its length, its markers.
package container

import (
	"fmt"
	"math"

	"cuewright/cues/verify/expect"
	"cuewright/cues/verify/measure"
	"cuewright/cues/verify/recording"
	"cuewright/cues/verify/report"
	"cuewright/plan/units"
)

// Copied tells whether the file was made from the track at another rate.
func Copied(want *expect.Expected, rec *recording.Recording) bool { return rec.Rate != want.Plan.Rate }

// Form says what a file is: its length, rate, bits and channels.
func Form(want *expect.Expected, heard *measure.Measurements) string {
	text := fmt.Sprintf("%s, %d frames a second", units.FormatLength(want.Time(heard.Frames).Truncate(1e6)), heard.Recording.Rate)
	if heard.Recording.Bits > 0 {
		text += fmt.Sprintf(", %d bit", heard.Recording.Bits)
	}
	switch heard.Recording.Channels {
	case 1:
		text += ", mono"
	case 2:
		text += ", stereo"
	default:
		text += fmt.Sprintf(", %d channels", heard.Recording.Channels)
	}
	if heard.Recording.Lossy {
		text += ", a form that keeps no exact samples: limits are wider"
	}
	return text
}

// CheckForm compares what the file is with what the plan wants.
func CheckForm(want *expect.Expected, heard *measure.Measurements) report.Check {
	c := report.Check{Name: report.Form, Due: 1, Heard: 1}
	t := want.Plan
	channels := "1 channel"
	if t.Channels == 2 {
		channels = "2 channels"
	}
	c.Text = fmt.Sprintf("%d frames a second, %d bit, %s wanted", t.Rate, t.Bits, channels)
	if Copied(want, heard.Recording) && !heard.Recording.Lossy { // Opus has one rate of its own
		c.Whole("the file has %d frames a second", heard.Recording.Rate)
	}
	if heard.Recording.Bits > 0 && heard.Recording.Bits != t.Bits {
		c.Whole("the file has %d bits", heard.Recording.Bits)
	}
	if heard.Recording.Channels != t.Channels && !heard.Recording.Lossy {
		c.Whole("the file has %d channels", heard.Recording.Channels)
	}
	if !heard.Recording.Lossy && heard.Levels.Apart > 0 {
		c.Whole("its channels differ, up to %.1f dBFS", 20*math.Log10(heard.Levels.Apart))
	}
	return c
}

// lossyLength is how much longer than its class a lossy file may be, in ms: it
// holds whole blocks of the codec.
const lossyLength = 100

// CheckLength compares how long the file is with what is due.
func CheckLength(want *expect.Expected, heard *measure.Measurements) report.Check {
	c := report.Check{Name: report.Length, Due: 1, Heard: 1}
	off := heard.Frames - want.Frames
	limit := int64(0)
	if heard.Recording.Lossy {
		limit = want.MS(lossyLength)
	} else if Copied(want, heard.Recording) {
		limit = 2
	}
	c.Text = fmt.Sprintf("%s, %d frames, %d promised (limit ± %d)", units.FormatLength(want.Time(heard.Frames).Truncate(1e6)), heard.Frames, want.Frames, limit)
	if off < -limit || off > limit {
		way := "too long"
		if off < 0 {
			way = "too short"
		}
		c.Heard = 0
		c.Whole("%s %s", report.Millis(want.InMS(float64(off))), way)
	}
	return c
}

// CheckMarkers compares the markers of a file with those due, in their order. A WAV file
// without any has lost them; a copy of another form may never have had any.
func CheckMarkers(want *expect.Expected, heard *measure.Measurements) report.Check {
	c := report.Check{Name: report.Markers, Due: len(want.Marks)}
	found, slack := heard.Recording.Markers, 0.0
	switch {
	case found == nil:
		c.Hidden = c.Due
		c.Text = "not checked: " + heard.Recording.Unread
		return c
	case heard.Recording.Chapters && len(found) == 0:
		c.Hidden = c.Due
		c.Text = "not checked: the file has no chapters"
		return c
	case heard.Recording.Chapters:
		slack = math.Ceil(float64(want.Rate) / 1000)
	case len(found) == 0:
		c.Whole("the file has no markers")
	}
	for i, m := range want.Marks {
		var by float64
		if i < len(found) {
			by = float64(found[i].Frame - m.Frame)
		}
		switch {
		case len(found) == 0:
		case i >= len(found):
			c.Fault(want, m.Frame, 0, "the marker %q is missing", m.Name)
		case found[i].Label != m.Name:
			c.Fault(want, m.Frame, 0, "the marker here is called %q, not %q", found[i].Label, m.Name)
		case by > slack || by < -slack:
			c.Fault(want, m.Frame, want.InMS(by), "the marker %q is %s", m.Name, report.Off(want, by))
		default:
			c.Heard++
		}
	}
	for _, m := range found[min(len(found), len(want.Marks)):] {
		c.Fault(want, m.Frame, 0, "a marker %q that the plan has not", m.Label)
	}
	c.Text = fmt.Sprintf("%d of %d in place, with their names", c.Heard, c.Due)
	if heard.Recording.Chapters {
		c.Text += ", to the millisecond that chapters tell"
	}
	return c
}
