package effort

import (
	"time"

	"cuewright/plan/class"
	"cuewright/plan/units"
)

// Ends are a number at the slow and at the fast end of a target's range; both
// are equal where the target is one number.
type Ends[T any] struct{ Low, High T }

// An Estimate is what one segment asks of a body.
type Estimate struct {
	Length   time.Duration
	Distance Ends[units.Millimetres] // zero where the target has no speed
	Climb    Ends[units.Millimetres]
	// VO2 is in mL/kg/min, gross; an end without an estimate is zero.
	VO2 Ends[float64]
	// Kcal is zero where the mass is not known.
	Kcal Ends[float64]
	// Gap is why there is no estimate at one end at least. With a Gap the segment
	// does not count as estimated.
	Gap Gap
	// Wide is set where an end lies between walking and running, and the range reaches from one equation to the other.
	Wide bool
}

// Known reports whether both ends are estimated.
func (e *Estimate) Known() bool { return e.Gap == "" }

// METs is the oxygen uptake in multiples of 3.5 mL/kg/min.
func (e *Estimate) METs() Ends[float64] { return Ends[float64]{e.VO2.Low / Rest, e.VO2.High / Rest} }

// Of estimates one segment of a class in units u, for a body of the given mass,
// or without kilocalories where it is zero.
func Of(u units.Unit, s *class.Segment, mass Mass) Estimate {
	e := Estimate{Length: s.Length}
	end := func(speed units.Speed) (distance, climb units.Millimetres, vo2 Ends[float64]) {
		r := units.RateOf(u, speed)
		distance = r.Distance(s.Length)
		low, high, wide, gap := VO2Range(r, s.Target)
		if gap != "" && e.Gap == "" {
			e.Gap = gap
		}
		e.Wide = e.Wide || wide
		return distance, Climb(distance, s.Target.Incline), Ends[float64]{low, high}
	}
	var slow, fast Ends[float64]
	e.Distance.Low, e.Climb.Low, slow = end(s.Target.Speed.Low)
	e.Distance.High, e.Climb.High, fast = end(s.Target.Speed.High)
	e.VO2 = Ends[float64]{min(slow.Low, fast.Low), max(slow.High, fast.High)}
	e.Kcal = Ends[float64]{kcalOf(e.VO2.Low, mass, s.Length), kcalOf(e.VO2.High, mass, s.Length)}
	return e
}

// kcalOf is the energy of an oxygen uptake in mL/kg/min, at 5 kcal a litre
// (testdata/reference/running/acsm_equations.json).
func kcalOf(vo2 float64, mass Mass, d time.Duration) float64 {
	return vo2 * mass.Kilograms() / 1000 * 5 * d.Minutes()
}

// Totals are the sums of a class. Length is all of it, Measured the time of the
// segments with a speed, which Distance and Climb are of, and Estimated the time
// that VO2 (its mean there) and Kcal speak of.
type Totals struct {
	Length, Measured, Estimated time.Duration
	// Wide is the part of Estimated whose range reaches from walking to running.
	Wide            time.Duration
	Distance, Climb Ends[units.Millimetres]
	VO2, Kcal       Ends[float64]
	// Peak is the highest METs at the fast end of any estimated segment.
	Peak float64
	// Gaps is the time without an estimate, by its reason.
	Gaps map[Gap]time.Duration
}

// METs is the mean over the estimated time, in multiples of 3.5 mL/kg/min.
func (t *Totals) METs() Ends[float64] { return Ends[float64]{t.VO2.Low / Rest, t.VO2.High / Rest} }

// Total adds up the segments of a class for a body of the given mass.
func Total(c *class.Class, mass Mass) Totals {
	t := Totals{Gaps: map[Gap]time.Duration{}}
	u := c.Units
	for i := range c.Segments {
		e := Of(u, &c.Segments[i], mass)
		t.Length += e.Length
		if e.Gap != gapByFeel && e.Gap != gapFloor {
			t.Measured += e.Length
			t.Distance = sum(t.Distance, e.Distance)
			t.Climb = sum(t.Climb, e.Climb)
		}
		if !e.Known() {
			t.Gaps[e.Gap] += e.Length
			continue
		}
		t.Estimated += e.Length
		if e.Wide {
			t.Wide += e.Length
		}
		t.Kcal = sum(t.Kcal, e.Kcal)
		t.VO2.Low += e.VO2.Low * e.Length.Minutes()
		t.VO2.High += e.VO2.High * e.Length.Minutes()
		t.Peak = max(t.Peak, e.METs().High)
	}
	if minutes := t.Estimated.Minutes(); minutes > 0 {
		t.VO2.Low /= minutes
		t.VO2.High /= minutes
	}
	return t
}

func sum[T units.Millimetres | float64](a, b Ends[T]) Ends[T] {
	return Ends[T]{a.Low + b.Low, a.High + b.High}
}
