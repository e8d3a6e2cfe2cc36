package effort

import (
	"time"

	"cuewright/plan/class"
	"cuewright/plan/units"
	"cuewright/plan/value"
)

// SecondModel is who published the second model of running.
const SecondModel = "Minetti et al. 2002"

// RunningByGradient is the oxygen uptake of running in mL/kg/min (gross), at a speed in metres a minute and a grade as a
// fraction from -0.45 to 0.45: the cost of running a metre, 155.4i⁵ - 30.4i⁴ - 43.3i³ + 46.3i² + 19.5i + 3.6 J/kg, at
// 20.9 J a mL of oxygen, and rest: Minetti, Moia, Roi, Susta, Ferretti 2002, J Appl Physiol 93:1039-1046. The paper was not
// read: the polynomial is as several programs and texts that cite it have it, and that it is net of rest is from memory.
func RunningByGradient(speed, grade float64) float64 {
	i := grade
	cost := ((((155.4*i-30.4)*i-43.3)*i+46.3)*i+19.5)*i + 3.6
	return speed*cost/20.9 + Rest
}

// A Spread is what two published models make of the running of a class, as means over its time in METs, at the slow and
// the fast end. Downhill only the second one applies.
type Spread struct {
	Length        time.Duration
	First, Second Ends[float64]
	Downhill      time.Duration
	DownhillMETs  Ends[float64]
}

// SpreadOf compares the models over all segments that are run at both ends.
func SpreadOf(c *class.Class) Spread {
	var s Spread
	for i := range c.Segments {
		seg := &c.Segments[i]
		ends := func(model func(speed, grade float64) float64) Ends[float64] {
			at := func(v units.Speed) float64 {
				return model(units.RateOf(c.Units, v).MetresPerMinute(), float64(seg.Target.Incline)/1000) / Rest * seg.Length.Minutes()
			}
			return Ends[float64]{at(seg.Target.Speed.Low), at(seg.Target.Speed.High)}
		}
		slow := units.RateOf(c.Units, seg.Target.Speed.Low)
		runs := slow.IsSet() && seg.Target.Gait != value.Walk && (slow.MetresPerMinute() >= runFrom || seg.Target.Gait == value.Run && slow.MetresPerMinute() >= jogFrom)
		switch {
		case !runs:
		case seg.Target.Incline < 0:
			s.Downhill += seg.Length
			s.DownhillMETs = sum(s.DownhillMETs, ends(RunningByGradient))
		default:
			s.Length += seg.Length
			s.First, s.Second = sum(s.First, ends(Running)), sum(s.Second, ends(RunningByGradient))
		}
	}
	mean := func(e *Ends[float64], over time.Duration) {
		if over > 0 {
			e.Low, e.High = e.Low/over.Minutes(), e.High/over.Minutes()
		}
	}
	mean(&s.First, s.Length)
	mean(&s.Second, s.Length)
	mean(&s.DownhillMETs, s.Downhill)
	return s
}
