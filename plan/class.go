package plan

import (
	"fmt"
	"slices"
	"time"

	"cuewright/plan/strict"
)

// A Class is a plan unfolded: every segment of every set with its exact place
// in time.
type Class struct {
	Plan *Plan
	// Opening and Closing are the times before the first segment and after the last.
	Opening, Closing time.Duration
	Segments         []Segment
	// Length is the length of all segments together, without opening and closing.
	Length time.Duration
	// Setting is what the class was made for besides the plan.
	Setting Setting
	// Units are those of every speed of the class, and Step is the machine's
	// smallest step in them; 0 where the plan's own numbers stand.
	Units Units
	Step  Speed

	blocks int
	found  []Problem // while it is unfolded
}

// Title is the name of the class, with the level and the unit of the room where
// they were asked for: "Harbour Steps, progressive, mph".
func (c *Class) Title() string {
	title := c.Plan.Class.Value
	if c.Setting.Level != NoLevel {
		title += ", " + string(c.Setting.Level)
	}
	if c.Units != c.Plan.units() {
		title += ", " + string(c.Units)
	}
	return title
}

// A Segment is a stretch of a class with one set of targets.
type Segment struct {
	// Start is the class time at which it begins, counted from the first
	// segment's start; it is the sum of whole lengths, so nothing adds up wrong.
	Start, Length time.Duration
	Part          Part
	Effort        string // the effort's name, or nothing
	Target        Target
	// Set counts from 1 inside a block of Sets; both are 0 outside. A segment
	// between two sets counts to the set before it.
	Set, Sets int
	Between   bool
	// Block tells the blocks of sets apart, from 1; 0 outside.
	Block int
	// Opens is set where the first segment of a set begins.
	Opens bool
	Says  []Said
	// Pos is where the segment stands in the plan, EffortPos where its effort does.
	Pos, EffortPos strict.Pos
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
	Speed   Range // in the class's units
	Felt    bool  // whether the runner goes by feel: Feel counts then, and Speed is zero
	Feel    Feel
	Incline int64 // tenths of a percent
	Graded  bool  // whether the plan speaks of incline at all
	Cadence int64 // tenths of a step a minute, 0 where the plan gives none
	Gait    string
	// Written is the speed as the plan gives it, in the plan's units.
	Written Range
}

// Said is a sentence of the plan at a time of its segment.
type Said struct {
	At   time.Duration // from the segment's start
	Text string
	Pos  strict.Pos
}

// Frames returns the class's time zero and the track's whole length on the
// track's own clock, which starts with the opening.
func (c *Class) Frames() (start, length time.Duration) {
	return c.Opening, c.Opening + c.Length + c.Closing
}

// Unfold lays a plan out in time with its numbers as they are written. The problems
// are about the class as a whole: a length that is not the one promised.
func Unfold(p *Plan) (*Class, []Problem) { return Setting{}.Unfold(p) }

// Unfold lays a plan out in time for some runners and machines. Besides those of the
// function Unfold there may be problems of what cannot be called with the setting.
func (set Setting) Unfold(p *Plan) (*Class, []Problem) {
	c := &Class{Plan: p, Opening: p.Calls.Opening.Value, Closing: p.Calls.Closing.Value, Setting: set, Units: set.units(p)}
	if !set.asWritten(p) {
		if c.Step = set.Step; c.Step == 0 {
			c.Step = c.Units.UsualStep()
		}
	}
	for _, part := range p.parts() {
		for _, item := range part.items {
			if item.Segment != nil {
				c.add(item.Segment, Segment{Part: part.part})
			}
			if item.Block != nil {
				c.addBlock(item.Block, part.part)
			}
		}
	}
	problems := c.found
	c.found = nil
	if set.Cadence.Given() && !slices.ContainsFunc(c.Segments, func(s Segment) bool { return s.Target.Cadence > 0 }) {
		problems = append(problems, p.problem(Warning, "setting", p.Class.Pos, "nothing in the plan has a cadence that could be changed: give an effort one to hear a click"))
	}
	return c, append(problems, p.checkPromise(c.Length)...)
}

func (c *Class) addBlock(b *Block, part Part) {
	sets := b.Sets.Value
	c.blocks++
	for set := 1; set <= sets; set++ {
		for i := range b.Segments {
			c.add(&b.Segments[i], Segment{Part: part, Block: c.blocks, Set: set, Sets: sets, Opens: i == 0})
		}
		for i := range b.Between {
			if set < sets {
				c.add(&b.Between[i], Segment{Part: part, Block: c.blocks, Set: set, Sets: sets, Between: true})
			}
		}
	}
}

// add appends a segment as written, s already telling its part and set.
func (c *Class) add(from *SegmentPlan, s Segment) {
	effort, _ := c.Plan.Efforts.Get(from.Effort.Value)
	s.Start, s.Length = c.Length, from.For.Value
	s.Effort, s.EffortPos, s.Pos = from.Effort.Value, effort.Pos, from.Pos
	s.Target = c.target(effort.Targets, from.Targets, &s)
	for _, say := range from.Say {
		n := say.Set
		if n.Pos.Given() && n.Number != s.Set && !(n.Last && s.Set == s.Sets) {
			continue
		}
		at := say.At.Value
		if at < 0 {
			at += s.Length
		}
		s.Says = append(s.Says, Said{at, say.Text.Value, say.Pos})
	}
	c.Length += s.Length
	c.Segments = append(c.Segments, s)
}

// target lays a segment's own targets over its effort's, and makes of them what is
// dialled in at s.
func (c *Class) target(effort, own Targets, s *Segment) Target {
	pick := func(own, effort strict.Tenths) strict.Tenths {
		if own.Pos.Given() {
			return own
		}
		return effort
	}
	speed, feel := effort.Speed, effort.Feel
	if own.Speed.Pos.Given() || own.Feel.Pos.Given() {
		speed, feel = own.Speed, own.Feel
	}
	gait := effort.Gait.Value
	if own.Gait.Value != "" {
		gait = own.Gait.Value
	}
	incline := pick(own.Incline.Tenths, effort.Incline.Tenths)
	t := Target{Incline: incline.Value, Graded: incline.Pos.Given(), Gait: gait}
	if feel.Pos.Given() {
		t.Felt, t.Feel = true, c.Setting.feel(feel.value, s)
	} else {
		t.Written = speed.in(c.Plan.units(), new(strict.Reader)) // read without problems before
		t.Speed = c.Setting.speed(c.Plan, t.Written, s)
		if slow := t.Speed.Low; c.Units.Pace() && slow >= slowestPace {
			c.cannot(s.Pos, "%s %s is %s %s, which is no pace that can be called: it has 100 minutes or more",
				c.Plan.units().Format(t.Written.Low), c.Plan.units(), c.Units.Format(slow), c.Units)
		}
	}
	cadence := pick(own.Cadence.Tenths, effort.Cadence.Tenths).Value
	var ok bool
	if t.Cadence, ok = c.Setting.Cadence.apply(cadence); !ok {
		c.cannot(s.Pos, "the cadence of %s becomes %s, outside %d to %d steps a minute",
			FormatTenths(cadence), FormatTenths(t.Cadence), minOwnCadence, maxOwnCadence)
	}
	return t
}

// slowestPace is the first pace in seconds with three digits of minutes.
const slowestPace = 100 * 60

// cannot reports what the setting asks of the segment at pos, once.
func (c *Class) cannot(pos strict.Pos, format string, args ...any) {
	if !slices.ContainsFunc(c.found, func(p Problem) bool { return p.Pos == pos }) {
		c.found = append(c.found, c.Plan.problem(Error, "setting", pos, format, args...))
	}
}
