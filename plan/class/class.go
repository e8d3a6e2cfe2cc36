// Package class is a class in time: a plan unfolded, every segment of every set with its
// exact place and what is dialled in for it, for some runners and the machines of a room.
package class

import (
	"fmt"
	"slices"
	"time"

	"cuewright/plan"
	"cuewright/plan/problem"
	"cuewright/plan/strict"
	"cuewright/plan/units"
	"cuewright/plan/value"
)

// A Class is a plan unfolded: every segment of every set with its exact place
// in time.
type Class struct {
	Plan *plan.Plan
	// Opening and Closing are the times before the first segment and after the last.
	Opening, Closing time.Duration
	Segments         []Segment
	// Length is the length of all segments together, without opening and closing.
	Length time.Duration
	// Options are what the class was made for besides the plan.
	Options Options
	// Units are those of every speed of the class, and Step is the machine's
	// smallest step in them; 0 where the plan's own numbers stand.
	Units units.Unit
	Step  units.Speed

	blocks int
	found  []problem.Problem // while it is unfolded
}

// Title is the name of the class, with the level and the unit of the room where
// they were asked for: "Harbour Steps, progressive, mph".
func (c *Class) Title() string {
	title := c.Plan.Class.Value
	if c.Options.Level != NoLevel {
		title += ", " + string(c.Options.Level)
	}
	if c.Units != c.Plan.Unit() {
		title += ", " + string(c.Units)
	}
	return title
}

// A Segment is a stretch of a class with one set of targets.
type Segment struct {
	// Start is the class time at which it begins, counted from the first
	// segment's start; it is the sum of whole lengths, so nothing adds up wrong.
	Start, Length time.Duration
	// Written is its length as the plan gives it, which may be a distance.
	Written value.Extent
	Part    plan.Part
	Effort  string // the effort's name, or nothing
	Target  Target
	// Set counts from 1 inside a block of Sets; both are 0 outside. A segment
	// between two sets counts to the set before it.
	Set, Sets int
	Between   bool
	// Block tells the blocks of sets apart, from 1; 0 outside.
	Block int
	// FirstOfSet is set where a set begins.
	FirstOfSet bool
	FixedCues  []FixedCue
	// Pos is where the segment stands in the plan, EffortPos where its effort does.
	Pos, EffortPos problem.Pos
}

// End is the class time at which s ends.
func (s *Segment) End() time.Duration { return s.Start + s.Length }

// Name says which segment s is, for markers and lists: "rise, set 2 of 4".
func (s *Segment) Name() string {
	name := s.Effort
	if name == "" {
		name = string(s.Part)
	}
	switch {
	case s.Between:
		return fmt.Sprintf("%s, after set %d of %d", name, s.Set, s.Sets)
	case s.Sets > 1:
		return fmt.Sprintf("%s, set %d of %d", name, s.Set, s.Sets)
	}
	return name
}

// A Target is what the runner dials in for a segment.
type Target struct {
	Speed      units.Range // in the class's units
	ByFeel     bool        // whether the runner goes by feel: RPE counts then, and Speed is zero
	RPE        units.RPE
	HasIncline bool  // whether the plan speaks of incline at all
	Incline    int64 // tenths of a percent
	Cadence    int64 // tenths of a step a minute, 0 where the plan gives none
	Gait       plan.Gait
	// PlanSpeed is the speed as the plan gives it, in the plan's units.
	PlanSpeed units.Range
}

// A FixedCue is a sentence of the plan at a time of its segment.
type FixedCue struct {
	At   time.Duration // from the segment's start
	Text string
	Pos  problem.Pos
}

// TrackSpan returns where the class's time zero lies on the track's own clock, which
// starts with the opening, and the track's whole length.
func (c *Class) TrackSpan() (zero, length time.Duration) {
	return c.Opening, c.Opening + c.Length + c.Closing
}

// Unfold lays a plan out in time with its numbers as they are written.
func Unfold(p *plan.Plan) (*Class, []problem.Problem) { return Options{}.Unfold(p) }

// setting is what is asked for and does not fit the plan.
const setting problem.Kind = "setting"

// Unfold lays a plan out in time for some runners and machines. The problems are of what
// cannot be called with the options.
func (o Options) Unfold(p *plan.Plan) (*Class, []problem.Problem) {
	c := &Class{Plan: p, Opening: p.Calls.Opening.Value, Closing: p.Calls.Closing.Value, Options: o, Units: o.units(p)}
	if !o.asWritten(p) {
		if c.Step = o.Step; c.Step == 0 {
			c.Step = c.Units.UsualStep()
		}
	}
	for part, item := range p.Items {
		if item.Segment != nil {
			c.add(item.Segment, Segment{Part: part})
		}
		if item.Block != nil {
			c.addBlock(item.Block, part)
		}
	}
	problems := c.found
	c.found = nil
	if o.Cadence.IsSet() && !slices.ContainsFunc(c.Segments, func(s Segment) bool { return s.Target.Cadence > 0 }) {
		problems = append(problems, p.Problem(problem.Warning, setting, p.Class.Pos, "nothing in the plan has a cadence that could be changed: give an effort one to hear a click"))
	}
	return c, problems
}

func (c *Class) addBlock(b *plan.Block, part plan.Part) {
	sets := b.Sets.Value
	c.blocks++
	for set := 1; set <= sets; set++ {
		for i := range b.Segments {
			c.add(&b.Segments[i], Segment{Part: part, Block: c.blocks, Set: set, Sets: sets, FirstOfSet: i == 0})
		}
		for i := range b.Between {
			if set < sets {
				c.add(&b.Between[i], Segment{Part: part, Block: c.blocks, Set: set, Sets: sets, Between: true})
			}
		}
	}
}

// add appends a segment as written, s already telling its part and set.
func (c *Class) add(from *plan.Segment, s Segment) {
	effort, _ := c.Plan.Efforts.Get(from.Effort.Value)
	s.Start, s.Length, s.Written = c.Length, c.Plan.Time(from), from.For
	s.Effort, s.EffortPos, s.Pos = from.Effort.Value, effort.Pos, from.Pos
	s.Target = c.target(effort.Targets, from.Targets, &s)
	for _, say := range from.Say {
		n := say.Set
		if n.Pos.IsSet() && n.Number != s.Set && !(n.Last && s.Set == s.Sets) {
			continue
		}
		at := say.At.Value
		if at < 0 {
			at += s.Length
		}
		s.FixedCues = append(s.FixedCues, FixedCue{at, say.Text.Value, say.Pos})
	}
	c.Length += s.Length
	c.Segments = append(c.Segments, s)
}

// target lays a segment's own targets over its effort's, and makes of them what is
// dialled in at s.
func (c *Class) target(effort, own plan.Targets, s *Segment) Target {
	pick := func(own, effort strict.Tenths) strict.Tenths {
		if own.Pos.IsSet() {
			return own
		}
		return effort
	}
	speed, rpe := effort.Speed, effort.RPE
	if own.Speed.Pos.IsSet() || own.RPE.Pos.IsSet() {
		speed, rpe = own.Speed, own.RPE
	}
	gait := effort.Gait.Value
	if own.Gait.Value != "" {
		gait = own.Gait.Value
	}
	incline := pick(own.Incline, effort.Incline)
	t := Target{Incline: incline.Value, HasIncline: incline.Pos.IsSet(), Gait: gait}
	if rpe.Pos.IsSet() {
		t.ByFeel, t.RPE = true, c.Options.rpe(rpe.Span(), s)
	} else {
		t.PlanSpeed = speed.In(c.Plan.Unit())
		t.Speed = c.Options.speed(c.Plan, t.PlanSpeed, s)
		if slow := t.Speed.Low; c.Units.Pace() && slow >= slowestPace {
			c.cannot(s.Pos, "%s %s is %s %s, which is no pace that can be called: it has 100 minutes or more",
				c.Plan.Unit().Format(t.PlanSpeed.Low), c.Plan.Unit(), c.Units.Format(slow), c.Units)
		}
	}
	cadence := pick(own.Cadence.Tenths, effort.Cadence.Tenths).Value
	var ok bool
	if t.Cadence, ok = c.Options.Cadence.apply(cadence); !ok {
		c.cannot(s.Pos, "the cadence of %s becomes %s, outside %d to %d steps a minute",
			units.FormatTenths(cadence), units.FormatTenths(t.Cadence), minOwnCadence, maxOwnCadence)
	}
	return t
}

// slowestPace is the first pace in seconds with three digits of minutes.
const slowestPace = 100 * 60

// cannot reports what the options ask of the segment at pos, once.
func (c *Class) cannot(pos problem.Pos, format string, args ...any) {
	if !slices.ContainsFunc(c.found, func(p problem.Problem) bool { return p.Pos == pos }) {
		c.found = append(c.found, c.Plan.Problem(problem.Error, setting, pos, format, args...))
	}
}
