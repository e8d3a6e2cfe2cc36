package plan

import (
	"fmt"
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

	blocks int
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
	Speed   Range
	Incline int64 // tenths of a percent
	Graded  bool  // whether the plan speaks of incline at all
	Cadence int64 // tenths of a step a minute, 0 where the plan gives none
	Gait    string
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

// Unfold lays a plan out in time. The problems are about the class as a whole:
// a length that is not the one promised.
func Unfold(p *Plan) (*Class, []Problem) {
	c := &Class{Plan: p, Opening: p.Calls.Opening.Value, Closing: p.Calls.Closing.Value}
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
	return c, p.checkPromise(c.Length)
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
	s.Target = c.Plan.target(effort.Targets, from.Targets)
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

// target lays a segment's own targets over its effort's.
func (p *Plan) target(effort, own Targets) Target {
	pick := func(own, effort strict.Tenths) strict.Tenths {
		if own.Pos.Given() {
			return own
		}
		return effort
	}
	speed := effort.Speed
	if own.Speed.Pos.Given() {
		speed = own.Speed
	}
	gait := effort.Gait.Value
	if own.Gait.Value != "" {
		gait = own.Gait.Value
	}
	incline := pick(own.Incline.Tenths, effort.Incline.Tenths)
	return Target{
		Speed:   speed.in(p.In(), new(strict.Reader)), // read without problems before
		Incline: incline.Value,
		Graded:  incline.Pos.Given(),
		Cadence: pick(own.Cadence.Tenths, effort.Cadence.Tenths).Value,
		Gait:    gait,
	}
}
