package plan

import (
	"fmt"
	"time"

	"cuewright/plan/strict"
)

// Limits of the advice. They warn, they do not forbid.
const (
	// usualWarmUp is the shorter end of the 5 to 10 minutes that the ACSM's
	// Guidelines give for warm-up and for cool-down (read in pages that report
	// them: testdata/reference/running/safety_screening.csv).
	usualWarmUp = 5 * time.Minute
	// steepSpeed (tenths of km/h) and steepIncline (tenths of a percent) are the
	// largest jumps from one segment to the next that pass without a word. Common practice.
	steepSpeed   = 60.0
	steepIncline = 60
	// commonSpeed (tenths of km/h) and commonIncline (tenths of a percent) are what
	// common treadmills reach; they do not go down. Common practice.
	commonSpeed   = 200.0
	commonIncline = 150
)

// kmhTenths converts a speed in metres a minute.
func kmhTenths(metresPerMinute float64) float64 { return metresPerMinute * 60 / 100 }

// advice warns of what a body, or a machine, might not take well.
func (c *Class) advice() []Problem {
	var out []Problem
	warn := func(kind string, pos strict.Pos, at time.Duration, timed bool, format string, args ...any) {
		p := c.Plan.problem(Warning, kind, pos, format, args...)
		p.At, p.Timed = at, timed
		out = append(out, p)
	}
	var length [3]time.Duration
	for _, s := range c.Segments {
		for i, part := range []Part{WarmUp, Main, CoolDown} {
			if s.Part == part {
				length[i] += s.Length
			}
		}
	}
	for _, x := range []struct {
		kind, name string
		length     time.Duration
	}{{"no-warm-up", "warm-up", length[0]}, {"no-cool-down", "cool-down", length[2]}} {
		switch {
		case x.length == 0:
			warn(x.kind, c.Plan.Class.Pos, 0, false, "the class has no %s; 5 to 10 minutes are usual (ACSM)", x.name)
		case x.length < usualWarmUp:
			warn(x.kind, c.Plan.Class.Pos, 0, false, "the %s lasts %s; 5 to 10 minutes are usual (ACSM)", x.name, Minutes(x.length))
		}
	}
	once := map[string]bool{} // one warning for a place of the plan, however often it is run
	u := c.Units
	for i := range c.Segments {
		s := &c.Segments[i]
		fast := 0.0
		if !s.Target.Felt {
			fast = kmhTenths(u.MetresPerMinute(s.Target.Speed.High))
		}
		if fast > commonSpeed || s.Target.Incline > commonIncline || s.Target.Incline < 0 {
			if key := fmt.Sprint("range", s.Pos); !once[key] {
				once[key] = true
				warn("out-of-range", s.Pos, s.Start, true, "%s%s: common treadmills end at 20 km/h (%s %s) and go from 0 to 15 %%",
					paceText(u, s.Target), inclineText(s.Target), u.Format(u.fromKmh(20)), u)
			}
		}
		if i == 0 {
			continue
		}
		before := &c.Segments[i-1]
		if d, what := u.jump(before.Target, s.Target); what != "" {
			if key := fmt.Sprint("steep", before.Pos, s.Pos); !once[key] {
				once[key] = true
				warn("steep-change", s.Pos, s.Start, true, "%s, more than the %s that pass without a word", d, what)
			}
		}
		if s.Between {
			if work, rest, ok := c.harderRest(i); ok {
				if key := fmt.Sprint("hard", s.Pos); !once[key] {
					once[key] = true
					warn("hard-recovery", s.Pos, s.Start, true,
						"the recovery asks for about %.1f METs, the work before it for %.1f (estimates at the fast end, ACSM equations)", rest, work)
				}
			}
		}
	}
	return out
}

func paceText(u Units, t Target) string {
	if t.Felt {
		return "feel " + t.Feel.String()
	}
	return "speed " + u.FormatRange(t.Speed) + " " + string(u)
}

func inclineText(t Target) string {
	if !t.Graded {
		return ""
	}
	return ", incline " + FormatTenths(t.Incline) + " %"
}

// fromKmh converts whole km/h to the nearest speed in u.
func (u Units) fromKmh(kmh float64) Speed {
	metres := kmh * 1000 / 60
	switch u {
	case KmH:
		return Speed(kmh*10 + 0.5)
	case Mph:
		return Speed(metres*60/Mile*10 + 0.5)
	case MinKm:
		return Speed(1000*60/metres + 0.5)
	default:
		return Speed(Mile*60/metres + 0.5)
	}
}

// jump describes a change of targets that is larger than the limits.
func (u Units) jump(a, b Target) (change, limit string) {
	worst := 0.0
	var from, to Speed
	ends := [][2]Speed{{a.Speed.Low, b.Speed.Low}, {a.Speed.High, b.Speed.High}}
	if a.Felt || b.Felt {
		ends = nil
	}
	for _, x := range ends {
		d := kmhTenths(u.MetresPerMinute(x[1])) - kmhTenths(u.MetresPerMinute(x[0]))
		if d < 0 {
			d = -d
		}
		if d > worst {
			worst, from, to = d, x[0], x[1]
		}
	}
	// Half a tenth, so that a limit met exactly is not passed by rounding.
	if worst > steepSpeed+0.5 {
		return fmt.Sprintf("speed goes from %s to %s %s", u.Format(from), u.Format(to), u), "6 km/h"
	}
	if d := b.Incline - a.Incline; a.Graded && (d > steepIncline || d < -steepIncline) {
		return fmt.Sprintf("incline goes from %s to %s %%", FormatTenths(a.Incline), FormatTenths(b.Incline)), "6 %"
	}
	return "", ""
}

// harderRest compares the recovery at segment i with the hardest segment of
// the set before it, in METs at the fast end of their ranges.
func (c *Class) harderRest(i int) (work, rest float64, harder bool) {
	u := c.Units
	rest, ok := METs(u.MetresPerMinute(c.Segments[i].Target.Speed.High), c.Segments[i].Target)
	if !ok {
		return 0, 0, false
	}
	for k := i - 1; k >= 0 && c.Segments[k].Sets > 0; k-- {
		s := &c.Segments[k]
		if s.Between {
			continue
		}
		m, ok := METs(u.MetresPerMinute(s.Target.Speed.High), s.Target)
		if !ok {
			return 0, 0, false
		}
		work = max(work, m)
		if s.Opens {
			break
		}
	}
	return work, rest, work > 0 && rest > work+0.05
}

// METs estimates the intensity of a speed in metres a minute at the target's
// grade, as multiples of 3.5 mL of oxygen per kg and minute, by the metabolic
// equations of the ACSM (Guidelines, 10th edition, Table 6.3, as reprinted in
// Bushman 2020, ACSM's Health & Fitness Journal 24(4):5-8, Box 1). Walking is
// used from 50 to 100 m/min, running from 134 m/min, or from 80 where the gait
// is run; elsewhere, and downhill, the equations were not made and ok is false.
func METs(metresPerMinute float64, t Target) (mets float64, ok bool) {
	grade := float64(t.Incline) / 1000
	switch s := metresPerMinute; {
	case grade < 0, t.Felt:
		return 0, false
	case t.Gait == "run" && s >= 80, t.Gait == "" && s >= 134:
		return (0.2*s + 0.9*s*grade + 3.5) / 3.5, true
	case t.Gait != "run" && s >= 50 && s <= 100:
		return (0.1*s + 1.8*s*grade + 3.5) / 3.5, true
	}
	return 0, false
}
