package plan

import (
	"cmp"
	"math/big"
	"time"

	"cuewright/plan/parts"
	"cuewright/plan/strict"
	"cuewright/plan/units"
	"cuewright/plan/value"
)

// Asked is what a segment asks for in one of its sets and in one step of its ramp, as written and exactly: its own
// values over those of its effort, changed as each says.
type Asked struct {
	Length time.Duration
	// Speed is in the plan's units; zero where the segment is run by feel. WorkedOut is set where it is no number of
	// the plan, but a share or a step of a ramp, which is rounded to what a machine shows.
	Speed      units.Exact
	WorkedOut  bool
	ByFeel     bool
	Floor      bool // off the belt, with no targets at all
	RPE        units.RPE
	Incline    int64 // tenths of a percent
	HasIncline bool
	Cadence    int64 // tenths of a step a minute, 0 for none
	Gait       value.Gait
}

// Asked returns what a segment asks for in a set, from 1 (0 outside of sets), and in a step of its ramp, from 0.
func (p *Plan) Asked(s *parts.Segment, set, step int) Asked {
	effort, _ := p.Efforts.Get(s.Effort.Value)
	own := p.targets(s, set)
	if p.floor(s) {
		return Asked{Length: p.Time(s, set), Floor: true}
	}
	a := Asked{Gait: cmp.Or(s.Gait.Value, effort.Gait.Value), Length: p.Time(s, set)}
	n := int64(max(set, 1) - 1) // changes since the first set
	a.Incline, a.HasIncline = own.Incline.Value+n*s.Each.Incline.Change.By, own.Incline.Pos.IsSet()
	a.Cadence = own.Cadence.Value + n*s.Each.Cadence.Change.By
	if steps := s.Steps(); steps > 1 {
		a.Length = s.Ramp.Every.Value
		part := big.NewRat(int64(step), int64(steps-1))
		if incline, ok := s.Ramp.InclineAt(part); ok {
			a.Incline, a.HasIncline = incline, true
		}
		if speed, ok := s.Ramp.SpeedAt(part, p.Unit(), &p.Paces); ok {
			a.Speed, a.WorkedOut = speed, true
			return a
		}
	}
	if own.RPE.Pos.IsSet() {
		change := n * s.Each.RPE.Change.By
		r := own.RPE.Span()
		a.ByFeel, a.RPE = true, units.RPE{Low: r.Low + change, High: r.High + change}
		return a
	}
	change := s.Each.Speed.Change
	if change.Points {
		own.Speed = own.Speed.Shifted(n * change.By)
	}
	a.Speed, a.WorkedOut = own.Speed.In(p.Unit(), &p.Paces), own.Speed.WorkedOut(p.Unit())
	if by := big.NewRat(n*change.By, 1); !change.Points && by.Sign() != 0 {
		a.Speed = units.Exact{Low: new(big.Rat).Add(a.Speed.Low, by), High: new(big.Rat).Add(a.Speed.High, by)}
	}
	return a
}

// targets are what a segment asks for in a set as written, before a change from set to set and without its ramp: what
// a list says of the set over its own values, and these over those of its effort.
func (p *Plan) targets(s *parts.Segment, set int) parts.Targets {
	effort, _ := p.Efforts.Get(s.Effort.Value)
	own := effort.Targets
	if s.Paced() {
		own.Speed, own.RPE = s.Speed, s.RPE
	}
	if s.Incline.Pos.IsSet() {
		own.Incline = s.Incline
	}
	if s.Cadence.Pos.IsSet() {
		own.Cadence = s.Cadence
	}
	if v, ok := s.Each.Incline.In(set); ok {
		own.Incline = v
	}
	if v, ok := s.Each.Cadence.In(set); ok {
		own.Cadence = v
	}
	if v, ok := s.Each.Speed.In(set); ok {
		own.Speed, own.RPE = v, value.Ratings{}
	}
	if v, ok := s.Each.RPE.In(set); ok {
		own.Speed, own.RPE = value.Speeds{}, v
	}
	return own
}

// Time is how long a segment lasts in a set, from 1 (0 outside of sets), with all steps of its ramp: the time as written; for
// a distance, what the slow end of its speed as written needs, rounded up to a whole second, so that a room changes together
// at every level and in every unit; for the remainder, what the length leaves. It is 0 where that cannot be told.
func (p *Plan) Time(s *parts.Segment, set int) time.Duration {
	extent := extentOf(s, set)
	switch {
	case extent.Distance > 0:
		if speed := p.slowEnd(s, set); speed != nil {
			return p.Unit().TimeFor(extent.Distance, speed)
		}
		return 0
	case extent.Remainder:
		return max(0, p.rest())
	}
	return extent.Value + time.Duration(int64(max(set, 1)-1)*s.Each.For.Change.By)*time.Millisecond
}

// slowEnd is the slow end of the speed of a segment in a set; nil where it has none that can be read.
func (p *Plan) slowEnd(s *parts.Segment, set int) *big.Rat {
	timeless := *s // or else its own time would be asked for
	timeless.For, timeless.Each.For = value.Extent{}, value.Series[value.Extent]{}
	if !p.Units.Pos.IsSet() || !p.targets(s, set).Speed.Readable(p.Unit(), &p.Paces) {
		return nil
	}
	if a := p.Asked(&timeless, set, 0); !a.ByFeel && a.Speed.Low.Sign() > 0 {
		return a.Speed.Low
	}
	return nil
}

// extentOf is how long or how far a segment goes in a set as written.
func extentOf(s *parts.Segment, set int) value.Extent {
	if v, ok := s.Each.For.In(set); ok {
		return v
	}
	return s.For
}

// rest is what the length leaves for the remainder, less than 0 where it is too short.
func (p *Plan) rest() time.Duration {
	rest := p.Length.Value
	for at := range p.Written {
		if at.Segment.For.Remainder {
			continue
		}
		rest -= p.AllTime(at)
	}
	return rest
}

// AllTime is how long a segment as written lasts in all its sets together.
func (p *Plan) AllTime(at parts.Place) time.Duration {
	sum := time.Duration(0)
	runs := at.Runs()
	if s := at.Segment; !s.Each.Pos.IsSet() {
		sum = time.Duration(runs) * p.Time(s, 1)
	} else {
		for set := 1; set <= runs; set++ {
			sum += p.Time(s, set)
		}
	}
	for _, outer := range at.Loops[:max(0, len(at.Loops)-1)] {
		sum *= time.Duration(outer.Block.Sets.Value)
	}
	return sum
}

// minRemainder is the least that a remainder may be: what is shorter is no end of a class, and a sum gone wrong.
const minRemainder = time.Minute

// checkRemainder reports a remainder that does not come out.
func (p *Plan) checkRemainder(r *strict.Reader) {
	var remainder *parts.Segment
	for at := range p.Written {
		s := at.Segment
		switch {
		case !s.For.Remainder:
		case len(at.Loops) > 0:
			r.ErrorfAt(s.For.Pos, "remainder stands outside sets: what is done several times cannot be what is left")
			return
		case remainder != nil:
			r.ErrorfAt(s.For.Pos, "remainder stands already in line %d: one segment can take what the length leaves", remainder.For.Pos.Line)
			return
		default:
			remainder = s
		}
	}
	switch rest := p.rest(); {
	case remainder == nil:
	case !p.Length.Pos.IsSet():
		r.ErrorfAt(remainder.For.Pos, "remainder needs length: how long the whole class lasts")
	case len(r.Problems()) > 0: // sums of what is wrong say nothing
	case rest < 0:
		r.ErrorfAt(remainder.For.Pos, "nothing is left of the length of %s: the other segments take %s, which is %s more",
			units.FormatLength(p.Length.Value), units.FormatLength(p.Length.Value-rest), units.FormatLength(-rest))
	case rest < minRemainder:
		r.ErrorfAt(remainder.For.Pos, "only %s of the length of %s are left, at least %s should be: %s are missing",
			units.FormatLength(rest), units.FormatLength(p.Length.Value), units.FormatLength(minRemainder), units.FormatLength(minRemainder-rest))
	}
}
