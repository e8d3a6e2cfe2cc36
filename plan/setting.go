package plan

import (
	"fmt"
	"math/big"
	"regexp"
	"slices"
	"strings"

	"cuewright/plan/strict"
)

// RunnerLevel says which number of each range a class calls.
type RunnerLevel string

// The levels. Without one the ranges themselves are called.
const (
	NoLevel     RunnerLevel = ""
	Lower       RunnerLevel = "lower"       // the slow end
	Middle      RunnerLevel = "middle"      // halfway
	Upper       RunnerLevel = "upper"       // the fast end
	Progressive RunnerLevel = "progressive" // from the slow end in the first set to the fast end in the last
)

// Levels are the levels in the order in which they are listed.
var Levels = []RunnerLevel{Lower, Middle, Upper, Progressive}

// A Setting is what a class is made for besides its plan: some runners, and the
// machines of a room. The zero Setting leaves the plan as it is written.
type Setting struct {
	Level RunnerLevel
	// Units are those the machines are marked in, the plan's own where empty.
	Units Units
	// Step is the smallest step of the machines, in Units; 0 is the usual one.
	Step Speed
	// Cadence changes the plan's step rates.
	Cadence CadenceChange
}

// units are those in which the numbers of p are dialled in.
func (s Setting) units(p *Plan) Units {
	if s.Units == "" {
		return p.units()
	}
	return s.Units
}

// asWritten reports whether the plan's own numbers stand, whatever the machine.
func (s Setting) asWritten(p *Plan) bool {
	return s.Level == NoLevel && s.Step == 0 && s.units(p) == p.units()
}

// aim is how far up its range a segment's number lies, from 0 to 1.
func (l RunnerLevel) aim(s *Segment) *big.Rat {
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

// between is the number that lies the fraction aim of the way from low to high.
func between(low, high int64, aim *big.Rat) *big.Rat {
	x := big.NewRat(high-low, 1)
	return x.Add(x.Mul(x, aim), big.NewRat(low, 1))
}

// speed is what a runner dials in for a range of the plan in segment at: the one
// function that decides every number that is called, shown and exported. The number
// of a level lies evenly between the ends in the plan's own unit; it is converted and
// rounded afterwards, once (see convert.go). It stays inside the plan's range where a
// step lies inside it, and never leaves it by more than half a step, except that no
// number is less than one step.
func (s Setting) speed(p *Plan, r Range, at *Segment) Range {
	if s.asWritten(p) {
		return r
	}
	from, to, step := p.units(), s.units(p), s.Step
	if step == 0 {
		step = to.UsualStep()
	}
	dial := func(aim *big.Rat) Speed {
		in := func(x *big.Rat) *big.Rat { return from.converted(to, x) }
		x := in(between(int64(r.Low), int64(r.High), aim))
		return max(step, Speed(dialled(x, in(exact(r.Low)), in(exact(r.High)), int64(step))))
	}
	if s.Level == NoLevel {
		return Range{dial(new(big.Rat)), dial(big.NewRat(1, 1))}
	}
	n := dial(s.Level.aim(at))
	return Range{n, n}
}

// feel is the perceived exertion of a level, as speed is the speed. It has no
// machine; its step is a half.
func (s Setting) feel(f Feel, at *Segment) Feel {
	if s.Level == NoLevel {
		return f
	}
	x := between(f.Low, f.High, s.Level.aim(at))
	n := dialled(x, big.NewRat(f.Low, 1), big.NewRat(f.High, 1), feelStep)
	return Feel{n, n}
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

// Given reports whether there is a change.
func (c CadenceChange) Given() bool { return c != CadenceChange{} }

var percentForm = regexp.MustCompile(`^[-+][0-9.]+ ?%$`)

// ReadCadence reads a step rate from 100 to 220 ("176"), or a change of at most 50 %
// ("+5%", "-2.5%").
func ReadCadence(text string) (CadenceChange, error) {
	if percentForm.MatchString(text) {
		v, ok := strict.ReadTenths(strings.TrimRight(text, " %"))
		if !ok || v < -500 || v > 500 {
			return CadenceChange{}, fmt.Errorf("%s is no change of step rate: from -50%% to +50%%, with at most one decimal, is accepted", text)
		}
		return CadenceChange{percent: v}, nil
	}
	v, ok := strict.ReadTenths(text)
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
	case tenths == 0 || !c.Given():
		return tenths, true
	case c.rate > 0:
		return c.rate, true
	}
	changed = rounded(big.NewRat(tenths*(1000+c.percent), 1000), 1)
	return changed, changed >= minOwnCadence*10 && changed <= maxOwnCadence*10
}

// ReadLevel reads the name of a level.
func ReadLevel(text string) (RunnerLevel, bool) {
	l := RunnerLevel(text)
	return l, slices.Contains(Levels, l)
}

// ReadUnits reads a unit of speed.
func ReadUnits(text string) (Units, bool) { return Units(text), slices.Contains(allUnits, text) }

// UnitNames are the units that ReadUnits accepts.
func UnitNames() []string { return slices.Clone(allUnits) }
