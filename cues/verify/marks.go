package verify

import (
	"fmt"
	"math"

	"cuewright/audio"
	"cuewright/plan/class"
)

// A mark is a marker due.
type mark struct {
	at   int64
	name string
}

// marks are the opening, every segment and the closing.
func marks(c *class.Class, rate audio.Rate) []mark {
	start, _ := c.TrackSpan()
	out := []mark{{0, "opening"}}
	for i := range c.Segments {
		out = append(out, mark{rate.Frame(start + c.Segments[i].Start), c.Segments[i].Name()})
	}
	return append(out, mark{rate.Frame(start + c.Length), "closing"})
}

// markers compares the markers of a file with those due, in their order. A WAV file
// without any has lost them; a copy of another form may never have had any.
func (l *listening) markers() Check {
	c := Check{Name: "markers", Due: len(l.due.marks)}
	found, slack := l.rec.Markers, 0.0
	switch {
	case found == nil:
		c.Hidden = c.Due
		c.Text = "not checked: " + l.rec.Unread
		return c
	case l.rec.Chapters && len(found) == 0:
		c.Hidden = c.Due
		c.Text = "not checked: the file has no chapters"
		return c
	case l.rec.Chapters:
		slack = math.Ceil(float64(l.due.rate) / 1000)
	case len(found) == 0:
		c.whole("the file has no markers")
	}
	for i, m := range l.due.marks {
		var off float64
		if i < len(found) {
			off = float64(found[i].Frame - m.at)
		}
		switch {
		case len(found) == 0:
		case i >= len(found):
			c.fault(l.due, m.at, 0, "the marker %q is missing", m.name)
		case found[i].Label != m.name:
			c.fault(l.due, m.at, 0, "the marker here is called %q, not %q", found[i].Label, m.name)
		case off > slack || off < -slack:
			c.fault(l.due, m.at, l.due.inMS(off), "the marker %q is %s", m.name, l.due.off(off))
		default:
			c.Heard++
		}
	}
	for _, m := range found[min(len(found), len(l.due.marks)):] {
		c.fault(l.due, m.Frame, 0, "a marker %q that the plan has not", m.Label)
	}
	c.Text = fmt.Sprintf("%d of %d in place, with their names", c.Heard, c.Due)
	if l.rec.Chapters {
		c.Text += ", to the millisecond that chapters tell"
	}
	return c
}
