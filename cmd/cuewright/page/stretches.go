package page

import (
	"fmt"
	"sort"
	"strings"
	"time"

	"cuewright/cues"
	"cuewright/cues/export"
	"cuewright/plan/class"
	"cuewright/plan/class/effort"
	"cuewright/plan/class/show"
	"cuewright/plan/problem"
	"cuewright/plan/units"
)

// stretches lays the calls out under the stretch they are heard in.
func stretches(l *cues.List, d *export.Document, mass effort.Mass) []Stretch {
	c := l.Class
	start, _ := c.TrackSpan()
	out := []Stretch{{Name: "opening", Clock: units.FormatClock(-start), Length: units.FormatLength(start)}}
	for i := range c.Segments {
		s := &c.Segments[i]
		out = append(out, Stretch{
			Name: name(s), Segment: true, Clock: units.FormatClock(s.Start),
			At: seconds(d.Segments[i].Start, d), Length: units.FormatLength(s.Length),
			Targets: Targets{export.TargetParts(c.Units, s.Target), own(c, s)},
			Effort:  show.EffortText(c.Units, s, mass),
		})
	}
	out = append(out, Stretch{Name: "closing", Clock: units.FormatClock(c.Length), At: (start + c.Length).Seconds(), Length: units.FormatLength(c.Closing)})
	counting, last := false, time.Duration(0) // whether a count goes on, and its last mark
	for i := range l.Cues {
		q := &l.Cues[i]
		call := Call{Clock: units.FormatClock(q.Start), At: seconds(d.Cues[i].Start, d), Kind: q.Kind, Text: q.Text}
		if q.Lane != cues.CountLane {
			call.Length = fmt.Sprintf("%.1f s", q.Length.Seconds())
			in := &out[stretchAt(c, q.Start)]
			in.Calls = append(in.Calls, call)
			continue
		}
		// A count is one call, and belongs to the stretch that it ends.
		call.Clock = units.FormatClock(q.Mark)
		in := &out[stretchAt(c, q.Mark-1)]
		if k := len(in.Calls) - 1; counting && q.Mark-last <= time.Second && k >= 0 && in.Calls[k].Kind == cues.Count {
			in.Calls[k].Text += step + q.Text
			in.Calls[k].Clock = call.Clock
		} else {
			in.Calls = append(in.Calls, call)
		}
		counting, last = !q.Long, q.Mark
	}
	for i := range out {
		for k := range out[i].Calls {
			q := &out[i].Calls[k]
			a, b := strings.Index(q.Text, step), strings.LastIndex(q.Text, step)
			if q.Length == "" && a < b {
				b += len(step)
				q.First, q.More, q.Last = q.Text[:a], q.Text[a:b], q.Text[b:]
			}
		}
	}
	return out
}

// name is the name of a segment, with "set 1 of 4" in one line.
func name(s *class.Segment) string {
	name := s.Name()
	if i := strings.LastIndex(name, "set "); s.Sets > 1 && i >= 0 {
		name = name[:i] + strings.ReplaceAll(name[i:], " ", "\u00a0")
	}
	return name
}

// step stands between the seconds of a count.
const step = " · "

// own is the speed of a segment in the plan's own unit, where it is called in another.
func own(c *class.Class, s *class.Segment) string {
	u := units.Unit(c.Plan.Units.Value)
	if u == c.Units || s.Target.ByFeel {
		return ""
	}
	return u.FormatRange(s.Target.PlanSpeed) + " " + string(u)
}

// AddLevel tells beside the ranges of the page's own class what c, the same class at a
// level, makes of them.
func (p *Page) AddLevel(c *class.Class) {
	p.Levels = append(p.Levels, string(c.Options.Level))
	for i := range c.Segments {
		s := &p.Stretches[i+1]
		s.Levels = append(s.Levels, speedText(c, &c.Segments[i]))
	}
}

// speedText is the speed or feel of a segment, without its unit.
func speedText(c *class.Class, s *class.Segment) string {
	if s.Target.ByFeel {
		return "feel " + s.Target.RPE.String()
	}
	return c.Units.FormatRange(s.Target.Speed)
}

// stretchAt is the index of the stretch at a class time: 0 for the opening, then
// the segments, then the closing.
func stretchAt(c *class.Class, at time.Duration) int {
	if at < 0 {
		return 0
	}
	return 1 + sort.Search(len(c.Segments), func(i int) bool { return at < c.Segments[i].End() })
}

// problems lists what is wrong and finds the place of each.
func (p *Page) problems(l *cues.List, found []problem.Problem, d *export.Document) {
	c := l.Class
	for i, f := range found {
		q := Problem{Problem: f, Number: i + 1, Line: f.String(), Place: -1}
		drawn := Flag{Number: q.Number, Kind: f.Kind, Error: f.Severity == problem.Error, From: -1, To: -1}
		switch {
		case f.Timed:
			q.Clock, q.Place = units.FormatClock(f.At), stretchAt(c, f.At)
			q.At = seconds(d.Problems[i].At, d)
			drawn.From, drawn.To = q.At, q.At+(until(l, f)-f.At).Seconds()
		case f.File == c.Plan.File && f.Given():
			q.Place = placeOf(c, f.Line)
			if q.Place >= 0 {
				q.At = p.Stretches[q.Place].At
				drawn.From, drawn.To = q.At, q.At
			}
		}
		p.Problems = append(p.Problems, q)
		p.Drawing.Flags = append(p.Drawing.Flags, drawn)
	}
}

// placeOf is the stretch that a line of the plan makes, -1 where it makes none.
func placeOf(c *class.Class, line int) int {
	for i := range c.Segments {
		if s := &c.Segments[i]; s.Pos.Line == line || s.EffortPos.Line == line {
			return i + 1
		}
	}
	return -1
}

// until is the class time up to which a problem lasts: a gap to the next sound,
// shared time to its end, a sentence to its last word, all else a moment.
func until(l *cues.List, p problem.Problem) time.Duration {
	start, length := l.Class.TrackSpan()
	if p.Kind == "gap" {
		end := length - start
		for i := range l.Cues {
			if s := l.Cues[i].Start; s > p.At && s < end {
				end = s
			}
		}
		return end
	}
	var at, before time.Duration = p.At, p.At // the ends of what begins here, and of what sounds already
	for i := range l.Cues {
		switch q := &l.Cues[i]; {
		case q.Start == p.At && q.End() > at:
			at = q.End()
		case q.Start < p.At && q.End() > before:
			before = q.End()
		}
	}
	switch p.Kind {
	case "overlap":
		return min(at, before)
	case "cut-off", "untrue", "late", "unrecorded":
		return at
	}
	return p.At
}

func seconds(frame int64, d *export.Document) float64 { return float64(frame) / float64(d.Rate) }
