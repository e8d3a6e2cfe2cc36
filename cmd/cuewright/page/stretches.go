package page

import (
	"fmt"
	"sort"
	"strings"
	"time"

	"cuewright/cues"
	"cuewright/cues/kind"
	"cuewright/plan/class"
	"cuewright/plan/class/effort"
	"cuewright/plan/class/show"
	"cuewright/plan/problem"
	"cuewright/plan/settings"
	"cuewright/plan/units"
)

// A Stretch is the opening, a segment or the closing, as the page's script draws it, and
// as the list and the table beside the drawing tell it. Times are seconds of the track.
type Stretch struct {
	Named         // of its effort, or its part
	Part   string `json:"part"`
	Count  string `json:"count"`  // which sets it belongs to: "set 2 of 4"; nothing outside of them
	Clock  string `json:"clock"`  // class time of its start, whole seconds
	Ground bool   `json:"ground"` // whether it is a segment
	// Slow and Fast are the ends of its speed in metres a minute, whatever the
	// plan's unit, so that faster is higher; both are 0 where it is run by feel.
	Slow    float64 `json:"slow"`
	Fast    float64 `json:"fast"`
	Speed   string  `json:"speed"`   // as the plan counts it, without the unit
	Incline float64 `json:"incline"` // percent
	Graded  bool    `json:"graded"`
	Cadence float64 `json:"cadence"`
	Click   bool    `json:"click"` // whether its cadence sounds
	// Targets are what the runner dials in; nothing in opening and closing.
	Targets Targets `json:"targets"`
	// Levels tell what each level makes of the speed, where that is another: "lower 8".
	Levels []string `json:"levels"`

	Title string `json:"-"` // "rise, set 2 of 4"
	Start string `json:"-"` // class time, to the tenth of a second
	For   string `json:"-"` // its length, with the distance that it comes from
	Note  string `json:"-"` // of the coach, for the coach
	// AtLevels are the speeds of the page's levels, in their order.
	AtLevels []string `json:"-"`
	// Effort is what it asks for, an estimate; nothing where there is none.
	Effort string `json:"-"`
	Calls  []Call `json:"-"`
}

// Targets are the numbers of one stretch.
type Targets struct {
	Parts []string `json:"parts"` // "8–11 km/h", "incline 3 %"
	// Own is the speed in the plan's own unit, where the parts are in another.
	Own string `json:"own"`
}

// stretches lists the opening, the segments and the closing, without their calls.
func stretches(c *class.Class, mass effort.Mass) []Stretch {
	zero, length := c.TrackSpan()
	end := zero + c.Length
	out := []Stretch{{Named: Named{To: zero.Seconds(), Name: "opening"}, Title: "opening",
		Start: units.FormatClock(-zero), For: units.FormatLength(zero)}}
	for i := range c.Segments {
		x := stretchOf(c, &c.Segments[i], mass)
		if c.Segments[i].Target.Floor {
			x.Incline = out[len(out)-1].Incline // the belt stands as it was left
		}
		out = append(out, x)
	}
	return append(out, Stretch{Named: Named{From: end.Seconds(), To: length.Seconds(), Name: "closing"}, Title: "closing",
		Clock: units.FormatLength(c.Length), Start: units.FormatClock(c.Length), For: units.FormatLength(c.Closing)})
}

// stretchOf is the stretch of a segment.
func stretchOf(c *class.Class, s *class.Segment, mass effort.Mass) Stretch {
	zero, _ := c.TrackSpan()
	t := s.Target
	out := Stretch{
		Named: Named{From: (zero + s.Start).Seconds(), To: (zero + s.End()).Seconds(), Name: s.Effort},
		Part:  string(s.Part), Count: s.Count(), Ground: true, Note: s.Note,
		Clock: units.FormatLength(s.Start.Truncate(time.Second)),
		Speed: speedText(c, s), Incline: float64(t.Incline) / 10, Graded: t.HasIncline,
		Cadence: float64(t.Cadence) / 10, Click: t.Cadence > 0 && c.Plan.Click.When.Value != settings.Never,
		Targets: Targets{show.TargetParts(c.Units, t), own(c, s)},
		Title:   title(s), Start: units.FormatClock(s.Start), For: lasts(s),
		Effort: show.EffortText(c.Units, s, mass),
	}
	if out.Name == "" {
		out.Name = string(s.Part)
	}
	if !t.ByFeel && !t.Floor {
		out.Slow = units.RateOf(c.Units, t.Speed.Low).MetresPerMinute()
		out.Fast = units.RateOf(c.Units, t.Speed.High).MetresPerMinute()
	}
	return out
}

// addCalls lays the calls out under the stretch they are heard in.
func (p *Page) addCalls(l *cues.List) {
	c, out := l.Class, p.Drawing.Stretches
	zero, _ := c.TrackSpan()
	counting, last := false, time.Duration(0) // whether a count goes on, and its last mark
	for i := range l.Cues {
		q := &l.Cues[i]
		call := Call{Clock: units.FormatClock(q.Start), At: (zero + q.Start).Seconds(), Kind: q.Kind, Text: q.Text}
		if q.Lane != cues.CountLane {
			call.Length = fmt.Sprintf("%.1f s", q.Length.Seconds())
			in := &out[stretchAt(c, q.Start)]
			in.Calls = append(in.Calls, call)
			continue
		}
		// A count is one call, and belongs to the stretch that it ends.
		call.Clock = units.FormatClock(q.Mark)
		in := &out[stretchAt(c, q.Mark-1)]
		if k := len(in.Calls) - 1; counting && q.Mark-last <= time.Second && k >= 0 && in.Calls[k].Kind == kind.Count {
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
}

// title is the name of a segment, with "set 1 of 4" in one line.
func title(s *class.Segment) string {
	name, count := s.Name(), nearest(s)
	return strings.TrimSuffix(name, count) + strings.ReplaceAll(count, " ", "\u00a0")
}

// nearest is the count of the nearest sets around a segment: "set 2 of 3" of "set 1 of 2, set 2 of 3".
func nearest(s *class.Segment) string {
	count := s.Count()
	return strings.TrimSpace(count[strings.LastIndex(count, ", ")+1:])
}

// lasts is how long a segment is: "2:00", "1:56 for 400 metres".
func lasts(s *class.Segment) string {
	if s.Written.Distance > 0 {
		return units.FormatLength(s.Length) + " for " + s.Written.Text
	}
	return units.FormatLength(s.Length)
}

// step stands between the seconds of a count.
const step = " · "

// own is the speed of a segment in the plan's own unit, where it is called in another.
func own(c *class.Class, s *class.Segment) string {
	u := c.Plan.Unit()
	if u == c.Units || s.Target.ByFeel || s.Target.Floor {
		return ""
	}
	return u.FormatRange(s.Target.PlanSpeed) + " " + string(u)
}

// AddLevel tells beside the ranges of the page's own class what c, the same class at a
// level, makes of them.
func (p *Page) AddLevel(c *class.Class) {
	p.Levels = append(p.Levels, string(c.Options.Level))
	for i := range c.Segments {
		s, speed := &p.Drawing.Stretches[i+1], speedText(c, &c.Segments[i])
		if c.Segments[i].Target.Floor { // the same for everybody, and no number
			s.AtLevels = append(s.AtLevels, "")
			continue
		}
		s.AtLevels = append(s.AtLevels, speed)
		if speed != s.Speed { // else there is nothing to choose
			s.Levels = append(s.Levels, string(c.Options.Level)+" "+speed)
		}
	}
}

// speedText is the speed or feel of a segment, without its unit.
func speedText(c *class.Class, s *class.Segment) string {
	if s.Target.Floor {
		return "floor"
	}
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

// addProblems lists what is wrong and finds the place of each.
func (p *Page) addProblems(l *cues.List, found []problem.Problem) {
	c := l.Class
	zero, _ := c.TrackSpan()
	for i, f := range found {
		q := Problem{Problem: f, Number: i + 1, Line: f.String(), Place: -1}
		drawn := Flag{Number: q.Number, Kind: f.Kind, Error: f.Severity == problem.Error, From: -1, To: -1}
		switch {
		case f.Timed:
			q.Clock, q.Place = units.FormatClock(f.At), stretchAt(c, f.At)
			q.At = (zero + f.At).Seconds()
			drawn.From, drawn.To = q.At, q.At+f.Lasts.Seconds()
		case f.File == c.Plan.File && f.IsSet():
			q.Place = placeOf(c, f.Line)
			if q.Place >= 0 {
				q.At = p.Drawing.Stretches[q.Place].From
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
