package check

import (
	"slices"
	"strings"
	"time"

	"cuewright/audio/words"
	"cuewright/cues"
	"cuewright/cues/calls"
	"cuewright/cues/kind/claim"
	"cuewright/cues/phrase"
	"cuewright/plan/problem"
	"cuewright/plan/units"
)

// edited finds what an edit made untrue besides the time that remains: the call of
// another segment or set, a length that the segment has not, numbers of another
// change. A list as it was placed holds none of that. A sentence in the coach's own
// words is believed.
func (c *checker) edited() {
	known := c.known()
	walls := c.walls()
	for i := range c.l.Cues {
		cue := &c.l.Cues[i]
		if !cue.Kind.Has(claim.Place) {
			continue
		}
		k, _ := slices.BinarySearch(walls, cue.Start+1)
		if places := known[folded(cue.Text)]; len(places) > 0 && !slices.ContainsFunc(places, func(p place) bool { return p.stretch == k }) {
			c.about(cue, problem.Error, untrue, "%s is true at %s, not here", name(cue), units.FormatClock(places[0].at))
			continue
		}
		if cue.Kind.Has(claim.Length) {
			if said, ok := c.timeSaid(cue); ok && k > 0 && k < len(walls) && said.Time != walls[k]-walls[k-1] {
				c.about(cue, problem.Error, untrue, "%s: the segment lasts %s", name(cue), units.FormatLength(walls[k]-walls[k-1]))
			}
		}
		if cue.Kind.Has(claim.Numbers) {
			if part := c.foreign(cue.Text, k); part != "" {
				c.about(cue, problem.Error, untrue, "%s: the change at %s has no %q", name(cue), units.FormatClock(walls[min(k, len(walls)-1)]), part)
			}
		}
		if cue.Kind.Has(claim.Middle) {
			if off := cue.Start - c.class.Length/2; off.Abs() > calls.HalfwayWithin {
				c.about(cue, problem.Error, untrue, "%s is heard at %s, the half is at %s", name(cue), units.FormatClock(cue.Start), units.FormatClock(c.class.Length/2))
			}
		}
	}
}

// A place is where a wording of the plan's own is true.
type place struct {
	stretch int // by the wall at its end
	at      time.Duration
}

// known are all wordings of the calls that claim something, and where each is true.
func (c *checker) known() map[string][]place {
	out := map[string][]place{}
	for k, st := range calls.Of(c.class, c.l.Book) { // its index is that of the wall at its end
		for _, call := range st.Calls {
			if !call.Kind.Has(claim.Place) {
				continue
			}
			for _, w := range call.Wordings {
				at := st.Start + max(0, w.Prefer)
				out[folded(w.Text)] = append(out[folded(w.Text)], place{k, at})
			}
		}
	}
	// Of the last set the plan only says that it is the last.
	for i, s := range c.class.Segments {
		if s.FirstOfSet && s.Sets > 1 && s.Set == s.Sets {
			n, _ := c.l.Book.Cardinal(int64(s.Sets))
			for _, w := range c.l.Book.Wordings("set", phrase.Slot{Name: "set", Text: n}, phrase.Slot{Name: "sets", Text: n}) {
				out[folded(w.Text)] = append(out[folded(w.Text)], place{i + 1, s.Start})
			}
		}
	}
	return out
}

// folded is a text by its words alone.
func folded(text string) string { return strings.Join(words.Of(text), " ") }

// foreign is a number in the text of a warning of change i that belongs to another
// segment and not to the one that comes; "" for none.
func (c *checker) foreign(text string, i int) string {
	segments := c.class.Segments
	if i >= len(segments) {
		return ""
	}
	parts := func(i int) []string {
		return c.l.Book.Change(c.class.Units, c.class.Step, nil, segments[i].Target).Parts
	}
	// What is true is taken out first: "incline one" stands in "incline one point five".
	spaced := func(text string) string { return " " + folded(text) + " " }
	rest := spaced(text)
	for _, part := range parts(i) {
		rest = strings.ReplaceAll(rest, spaced(part), " | ")
	}
	for k := range segments {
		for _, part := range parts(k) {
			if strings.Contains(rest, spaced(part)) {
				return part
			}
		}
	}
	return ""
}

// counts compares every second that is counted with the change it leads to.
func (c *checker) counts() {
	walls := c.walls()
	for i := range c.l.Cues {
		cue := &c.l.Cues[i]
		if cue.Lane != cues.CountLane || cue.Long {
			continue
		}
		k, _ := slices.BinarySearch(walls, cue.Mark)
		if k == len(walls) {
			c.about(cue, problem.Error, untrue, "%s stands behind the end of the class", name(cue))
			continue
		}
		left, from := walls[k]-cue.Mark, time.Duration(c.class.Into(k-1).Count.From.Value)*time.Second
		word, _ := c.l.Book.Cardinal(int64(left / time.Second))
		switch {
		case left%time.Second != 0 || left == 0 || left > from:
			c.about(cue, problem.Error, untrue, "%s falls %s before the change", name(cue), seconds(left))
		case folded(cue.Text) != folded(word):
			c.about(cue, problem.Error, untrue, "%s falls where %q is due", name(cue), word)
		}
	}
}

// hole is a second that is not counted, although one before it is; 0 for none.
func (c *checker) hole(at, after time.Duration, from, counted int) int {
	for k := from; k > counted+1; k-- {
		if m := at - time.Duration(k)*time.Second; m > after && c.marks[m] != nil && !c.marks[m].Long {
			return counted + 1
		}
	}
	return 0
}
