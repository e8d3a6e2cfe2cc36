package class

import (
	"fmt"
	"math/big"
	"regexp"
	"slices"
	"strings"

	"cuewright/plan"
	"cuewright/plan/units"
)

// Level says which number of each range a class calls.
type Level string

// The levels. Without one the ranges themselves are called.
const (
	NoLevel     Level = ""
	Lower       Level = "lower"       // the slow end
	Middle      Level = "middle"      // halfway
	Upper       Level = "upper"       // the fast end
	Progressive Level = "progressive" // from the slow end in the first set to the fast end in the last
)

// Levels are the levels in the order in which they are listed.
var Levels = []Level{Lower, Middle, Upper, Progressive}

// Options are what a class is made for besides its plan: some runners, and the
// machines of a room. The zero Options leave the plan as it is written.
type Options struct {
	Level Level
	// Units are those the machines are marked in, the plan's own where empty.
	Units units.Unit
	// Step is the smallest step of the machines, in Units; 0 is the usual one.
	Step units.Speed
	// Cadence changes the plan's step rates.
	Cadence CadenceChange
}

// units are those in which the numbers of p are dialled in.
func (o Options) units(p *plan.Plan) units.Unit {
	if o.Units == "" {
		return p.Unit()
	}
	return o.Units
}

// asWritten reports whether the plan's own numbers stand, whatever the machine.
func (o Options) asWritten(p *plan.Plan) bool {
	return o.Level == NoLevel && o.Step == 0 && o.units(p) == p.Unit()
}

// fraction is how far up its range a segment's number lies, from 0 to 1.
func (l Level) fraction(s *Segment) *big.Rat {
	climb := func(set, sets int) *big.Rat {
		if sets < 2 {
			return big.NewRat(1, 2)
		}
		return big.NewRat(int64(set-1), int64(sets-1))
	}
	switch {
	case l == Lower:
		return new(big.Rat)
	case l == Upper:
		return big.NewRat(1, 1)
	case l == Progressive && s.Between: // once less than there are sets
		return climb(s.Set, s.Sets-1)
	case l == Progressive:
		return climb(s.Set, s.Sets)
	}
	return big.NewRat(1, 2)
}

// speed is what a runner dials in for what the plan asks for in segment at: the one
// function that decides every number that is called, shown and exported. A number of the plan
// stands as it is written where no option changes it; what is worked out is rounded once, to a step.
func (o Options) speed(p *plan.Plan, asked plan.Asked, at *Segment) units.Range {
	r := asked.Speed
	if o.asWritten(p) && !asked.WorkedOut {
		return r.Rounded()
	}
	from, to, step := p.Unit(), o.units(p), o.Step
	if step == 0 {
		step = to.UsualStep()
	}
	if o.Level == NoLevel {
		return units.Range{Low: from.At(r, new(big.Rat), to, step), High: from.At(r, big.NewRat(1, 1), to, step)}
	}
	n := from.At(r, o.Level.fraction(at), to, step)
	return units.Range{Low: n, High: n}
}

// rpe is the perceived exertion of a level, as speed is the speed. It has no machine.
func (o Options) rpe(r units.RPE, at *Segment) units.RPE {
	if o.Level == NoLevel {
		return r
	}
	n := r.At(o.Level.fraction(at))
	return units.RPE{Low: n, High: n}
}

// Bounds of a runner's own step rate, in steps a minute: running, from an easy jog
// to a sprint (testdata/reference/running/step_rate.csv).
const minOwnCadence, maxOwnCadence = 100, 220

// A CadenceChange is a runner's own step rate, or a change of the plan's by some
// percent. The zero value changes nothing.
type CadenceChange struct {
	rate    int64 // tenths of a step a minute
	percent int64 // tenths of a percent
}

// IsSet reports whether there is a change.
func (c CadenceChange) IsSet() bool { return c != CadenceChange{} }

var percentForm = regexp.MustCompile(`^[-+][0-9.]+ ?%$`)

// ReadCadence reads a step rate from 100 to 220 ("176"), or a change of at most 50 %
// ("+5%", "-2.5%").
func ReadCadence(text string) (CadenceChange, error) {
	if percentForm.MatchString(text) {
		v, ok := units.ReadTenths(strings.TrimRight(text, " %"))
		if !ok || v < -500 || v > 500 {
			return CadenceChange{}, fmt.Errorf("%s is no change of step rate: from -50%% to +50%%, with at most one decimal, is accepted", text)
		}
		return CadenceChange{percent: v}, nil
	}
	v, ok := units.ReadTenths(text)
	if !ok || v < minOwnCadence*10 || v > maxOwnCadence*10 {
		return CadenceChange{}, fmt.Errorf("%s is no step rate: %d to %d steps a minute are accepted, or a change of the plan's like +5%%",
			text, minOwnCadence, maxOwnCadence)
	}
	return CadenceChange{rate: v}, nil
}

// apply changes a step rate given in tenths, rounded half up to a tenth. ok is false
// where it leaves the bounds.
func (c CadenceChange) apply(tenths int64) (changed int64, ok bool) {
	switch {
	case tenths == 0 || !c.IsSet():
		return tenths, true
	case c.rate > 0:
		return c.rate, true
	}
	changed = (tenths*(1000+c.percent) + 500) / 1000
	return changed, changed >= minOwnCadence*10 && changed <= maxOwnCadence*10
}

// ReadLevel reads the name of a level.
func ReadLevel(text string) (Level, bool) {
	l := Level(text)
	return l, slices.Contains(Levels, l)
}
