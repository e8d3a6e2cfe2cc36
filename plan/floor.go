package plan

import (
	"cmp"
	"time"

	"cuewright/plan/parts"
	"cuewright/plan/problem"
	"cuewright/plan/strict"
	"cuewright/plan/units"
	"cuewright/plan/value"
)

// stepOff is the least time that is left on the floor for stopping the belt and stepping off it, before one is called back.
// Common practice: belts take some seconds to stand.
const stepOff = 10 * time.Second

// floor reports whether a segment is done off the belt.
func (p *Plan) floor(s *parts.Segment) bool {
	effort, _ := p.Efforts.Get(s.Effort.Value)
	return cmp.Or(s.Role.Value, effort.Role.Value) == value.Floor
}

// checkNoTargets reports what is asked for off the belt, where nothing is dialled in.
func checkNoTargets(t parts.Targets, r *strict.Reader) {
	for _, x := range []struct {
		key string
		pos problem.Pos
	}{{"speed", t.Speed.Pos}, {"feel", t.RPE.Pos}, {"incline", t.Incline.Pos}, {"cadence", t.Cadence.Pos}, {"gait", t.Gait.Pos}} {
		if x.pos.IsSet() {
			r.ErrorfAt(x.pos, "role: floor is off the belt, where there is no %s: leave it out", x.key)
			return
		}
	}
}

// checkFloor reports what does not go with a segment off the belt.
func (p *Plan) checkFloor(at parts.Place, r *strict.Reader) {
	s := at.Segment
	effort, known := p.Efforts.Get(s.Effort.Value)
	if !p.floor(s) {
		if known && effort.Role.Value == value.Floor && !s.Paced() && len(s.Ramp.Speed) == 0 {
			r.ErrorfAt(s.Role.Pos, "the effort %q is off the belt and has no speed: role: %s needs one", s.Effort.Value, s.Role.Value)
		}
		return
	}
	checkNoTargets(s.Targets, r)
	e := &s.Each
	switch {
	case known && effort.Role.Value != value.Floor:
		r.ErrorfAt(s.Role.Pos, "the effort %q has targets, and role: floor is off the belt: give what is done there an effort of its own, mat: {role: floor}", s.Effort.Value)
	case s.Ramp.Pos.IsSet():
		r.ErrorfAt(s.Ramp.Pos, "role: floor is off the belt, where there is no ramp: leave it out")
	case s.For.Distance > 0:
		r.ErrorfAt(s.For.Pos, "role: floor is off the belt, where no distance is run: give it a time")
	case e.Speed.Pos.IsSet() || e.RPE.Pos.IsSet() || e.Incline.Pos.IsSet() || e.Cadence.Pos.IsSet():
		r.ErrorfAt(e.Pos, "role: floor is off the belt: from set to set only its time can change")
	case p.first() == s:
		r.ErrorfAt(s.Pos, "the class begins off the belt: begin it on the belt, what is done before that is no part of the track")
	default:
		p.checkSpinUp(at, effort, r)
	}
}

// checkSpinUp reports the first set in which the time off the belt is too short to leave the belt and come back to it.
func (p *Plan) checkSpinUp(at parts.Place, effort parts.Effort, r *strict.Reader) {
	s := at.Segment
	need := p.Calls.Over(effort.Calls).Over(s.Calls).SpinUp.Value + stepOff
	for set := 1; set <= at.Runs(); set++ {
		if t := p.Time(s, set); t > 0 && t < need {
			r.ErrorfAt(cmp.Or(s.For.Pos, s.Each.For.Pos), "%s off the belt are too short: at least %s are needed, %s to stop the belt and step off, and %s (spin-up) to start it again",
				units.FormatLength(t), units.FormatLength(need), units.FormatDuration(stepOff), units.FormatDuration(need-stepOff))
			return
		}
		if !s.Each.Pos.IsSet() {
			return
		}
	}
}

// first is the segment that a class begins with, nil where it has none.
func (p *Plan) first() *parts.Segment {
	for at := range p.Unfolded {
		return at.Segment
	}
	return nil
}
