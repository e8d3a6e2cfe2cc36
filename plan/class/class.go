// Package class is a class in time: a plan unfolded, every segment of every set with its
// exact place and what is dialled in for it, for some runners and the machines of a room.
package class

import (
	"cmp"
	"fmt"
	"slices"
	"sort"
	"strings"
	"time"

	"cuewright/plan"
	"cuewright/plan/parts"
	"cuewright/plan/problem"
	"cuewright/plan/settings"
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
	loops  []loopRun         // while it is unfolded
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
	Part    parts.Part
	Effort  string // the effort's name, or nothing
	Target  Target
	// Set counts from 1 inside a block of Sets, the nearest one where sets stand in sets; both are 0 outside. A
	// segment between two sets counts to the set before it.
	Set, Sets int
	Between   bool
	// Block tells apart each time that a block of sets is run, from 1; 0 outside.
	Block int
	// BlockName is what the plan calls the block, or nothing.
	BlockName string
	// FirstOfSet is set where a set begins.
	FirstOfSet bool
	// Outer are the sets around those of Block.
	Outer Outer
	// RampStep counts the steps of a ramp, from 1, of RampSteps; both are 0 without one.
	RampStep, RampSteps int
	FixedCues           []FixedCue
	// Calls are those that hold within it and, ahead and the count, for the change into it.
	Calls settings.Calls
	// Role is what the plan says that it is for, or nothing.
	Role value.Role
	// Note is what the plan says for the coach.
	Note string
	// Pos is where the segment stands in the plan, EffortPos where its effort does.
	Pos, EffortPos problem.Pos
}

// Outer is the set of a block that holds another block of sets; zero where sets do not stand in sets.
type Outer struct {
	Set, Sets int
	Block     int
	BlockName string
}

// End is the class time at which s ends.
func (s *Segment) End() time.Duration { return s.Start + s.Length }

// Name says which segment s is, for markers and lists: "rise, set 2 of 4".
func (s *Segment) Name() string {
	name := s.Effort
	if name == "" {
		name = string(s.Part)
	}
	if s.RampSteps > 0 {
		name += fmt.Sprintf(", step %d of %d", s.RampStep, s.RampSteps)
	}
	if sets := s.Count(); sets != "" {
		name += ", " + sets
	}
	return name
}

// Count says which sets s belongs to, the outer first: "set 2 of 4", "block 1 of 2, after hills 3 of 6"; "" outside of
// sets, or where there is one.
func (s *Segment) Count() string {
	var counts []string
	if o := s.Outer; o.Sets > 1 {
		counts = append(counts, fmt.Sprintf("%s %d of %d", setWord(o.BlockName), o.Set, o.Sets))
	}
	switch {
	case s.Between:
		counts = append(counts, fmt.Sprintf("after %s %d of %d", setWord(s.BlockName), s.Set, s.Sets))
	case s.Sets > 1:
		counts = append(counts, fmt.Sprintf("%s %d of %d", setWord(s.BlockName), s.Set, s.Sets))
	}
	return strings.Join(counts, ", ")
}

// setWord is the name of a block, or what a block without one counts.
func setWord(name string) string {
	if name == "" {
		return "set"
	}
	return name
}

// A Target is what the runner dials in for a segment.
type Target struct {
	Speed      units.Range // in the class's units
	Floor      bool        // off the belt: there is nothing to dial in
	ByFeel     bool        // whether the runner goes by feel: RPE counts then, and Speed is zero
	RPE        units.RPE
	HasIncline bool  // whether the plan speaks of incline at all
	Incline    int64 // tenths of a percent
	Cadence    int64 // tenths of a step a minute, 0 where the plan gives none
	Gait       value.Gait
	// PlanSpeed is the speed as the plan gives it, in the plan's units.
	PlanSpeed units.Range
}

// A FixedCue is a sentence of the plan at a time of its segment.
type FixedCue struct {
	At   time.Duration // from the segment's start
	Text string
	Pos  problem.Pos
}

// Into are the calls of the change at the end of segment i, -1 for the opening: those of the segment that it leads to, or
// the plan's at the end of the class.
func (c *Class) Into(i int) settings.Calls {
	if i+1 < len(c.Segments) {
		return c.Segments[i+1].Calls
	}
	return c.Plan.Calls
}

// CountedWith is how the change is counted that follows a moment of the class or falls on it.
func (c *Class) CountedWith(at time.Duration) settings.CountWith {
	i := sort.Search(len(c.Segments), func(i int) bool { return c.Segments[i].Start >= at })
	return c.Into(i - 1).Count.With.Value
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
	for at := range p.Unfolded {
		c.add(at)
	}
	problems := c.found
	c.found = nil
	if o.Cadence.IsSet() && !slices.ContainsFunc(c.Segments, func(s Segment) bool { return s.Target.Cadence > 0 }) {
		problems = append(problems, p.Problem(problem.Warning, setting, p.Class.Pos, "nothing in the plan has a cadence that could be changed: give an effort one to hear a click"))
	}
	return c, problems
}

// add appends what a segment of the plan becomes at one place.
func (c *Class) add(at parts.Place) {
	from := at.Segment
	effort, _ := c.Plan.Efforts.Get(from.Effort.Value)
	steps := from.Steps()
	for step := range steps {
		s := Segment{Part: at.Part, Start: c.Length, Effort: from.Effort.Value, EffortPos: effort.Pos, Pos: from.Pos, Between: at.Between,
			FirstOfSet: at.First && step == 0, Written: from.For, Note: from.Note.Value, Role: cmp.Or(from.Role.Value, effort.Role.Value),
			Calls: c.Plan.Calls.Over(effort.Calls).Over(from.Calls)}
		if steps > 1 {
			s.RampStep, s.RampSteps = step+1, steps
		}
		c.setLoops(&s, at)
		asked := c.Plan.Asked(from, s.Set, step)
		s.Length = asked.Length
		s.Target = c.target(asked, &s)
		s.FixedCues = fixedCues(c.Plan, at, s, step)
		c.Length += s.Length
		c.Segments = append(c.Segments, s)
	}
}

// setLoops tells which sets a segment belongs to. A block that begins anew is another one.
func (c *Class) setLoops(s *Segment, at parts.Place) {
	if len(at.Loops) == 0 {
		c.loops = nil
		return
	}
	for i, loop := range at.Loops {
		begins := i >= len(c.loops) || c.loops[i].block != loop.Block || loop.Set < c.loops[i].set
		if begins {
			c.blocks++
			c.loops = append(c.loops[:i:i], loopRun{loop.Block, loop.Set, c.blocks})
		}
		if c.loops[i].set != loop.Set { // blocks within it begin anew
			c.loops = append(c.loops[:i:i], loopRun{loop.Block, loop.Set, c.loops[i].id})
		}
	}
	c.loops = c.loops[:len(at.Loops)]
	nearest := c.loops[len(c.loops)-1]
	s.Set, s.Sets, s.Block, s.BlockName = nearest.set, nearest.block.Sets.Value, nearest.id, nearest.block.Name.Value
	if len(c.loops) > 1 {
		o := c.loops[0]
		s.Outer = Outer{Set: o.set, Sets: o.block.Sets.Value, Block: o.id, BlockName: o.block.Name.Value}
	}
}

// A loopRun is a block of sets that is being run.
type loopRun struct {
	block   *parts.Block
	set, id int
}

// fixedCues are the sentences of a segment that fall into one of its steps.
func fixedCues(p *plan.Plan, at parts.Place, s Segment, step int) (out []FixedCue) {
	whole, from := p.Time(at.Segment, s.Set), time.Duration(step)*s.Length
	for _, say := range at.Segment.Say {
		if !say.Set.Has(s.Set, s.Sets) {
			continue
		}
		t := say.At.Value
		if t < 0 {
			t += whole
		}
		if t -= from; t >= 0 && t < s.Length {
			out = append(out, FixedCue{t, say.Text.Value, say.Pos})
		}
	}
	return out
}

// target makes of what is asked for what is dialled in at s.
func (c *Class) target(asked plan.Asked, s *Segment) Target {
	if asked.Floor {
		return Target{Floor: true}
	}
	t := Target{Incline: asked.Incline, HasIncline: asked.HasIncline, Gait: asked.Gait}
	if asked.ByFeel {
		t.ByFeel, t.RPE = true, c.Options.rpe(asked.RPE, s)
	} else {
		t.PlanSpeed = asked.Speed.Rounded()
		t.Speed = c.Options.speed(c.Plan, asked, s)
		if slow := t.Speed.Low; c.Units.Pace() && slow >= slowestPace {
			c.cannot(s.Pos, "%s %s is %s %s, which is no pace that can be called: it has 100 minutes or more",
				c.Plan.Unit().Format(t.PlanSpeed.Low), c.Plan.Unit(), c.Units.Format(slow), c.Units)
		}
	}
	var ok bool
	if t.Cadence, ok = c.Options.Cadence.apply(asked.Cadence); !ok {
		c.cannot(s.Pos, "the cadence of %s becomes %s, outside %d to %d steps a minute",
			units.FormatTenths(asked.Cadence), units.FormatTenths(t.Cadence), minOwnCadence, maxOwnCadence)
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
