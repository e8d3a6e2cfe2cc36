package plan

import (
	"time"

	"cuewright/plan/parts"
	"cuewright/plan/problem"
	"cuewright/plan/strict"
	"cuewright/plan/units"
	"cuewright/plan/value"
)

// checkEach reports what cannot change from set to set as it is written, at its value.
func (p *Plan) checkEach(at parts.Place, r *strict.Reader) {
	s := at.Segment
	e := &s.Each
	if !e.Pos.IsSet() {
		return
	}
	if len(at.Loops) == 0 {
		r.ErrorfAt(e.Pos, "each tells what changes from set to set: it belongs to a segment inside sets, this one stands outside")
		return
	}
	before := len(r.Problems())
	effort, _ := p.Efforts.Get(s.Effort.Value)
	sets := at.Runs()
	e.Incline.Check(r, "incline", sets, s.Incline.Pos, effort.Incline.Pos)
	e.Cadence.Check(r, "cadence", sets, s.Cadence.Pos, effort.Cadence.Pos)
	e.For.Check(r, "for", sets, s.For.Pos, problem.Pos{})
	e.RPE.Check(r, "feel", sets, s.RPE.Pos, effort.RPE.Pos)
	e.Speed.Check(r, "speed", sets, s.Speed.Pos, effort.Speed.Pos)
	for _, x := range e.Speed.List {
		p.checkSpeed(x, r)
	}
	for _, x := range e.For.List {
		if x.Remainder {
			r.ErrorfAt(x.Pos, "remainder stands outside sets: what is done several times cannot be what is left")
		}
	}
	if e.Speed.Pos.IsSet() && e.RPE.Pos.IsSet() {
		r.ErrorfAt(e.RPE.Pos, "feel stands in place of a speed: let one of them change, not both")
	}
	if e.For.Change.By != 0 && (s.For.Distance > 0 || s.For.Remainder) {
		r.ErrorfAt(e.For.Pos, "what changes by seconds is a time: a distance has a list with one for each set")
	}
	p.checkSpeedChange(s, r)
	if len(r.Problems()) == before {
		p.checkResults(s, sets, r)
	}
}

// checkSpeedChange reports a change that does not fit how the speed is written.
func (p *Plan) checkSpeedChange(s *parts.Segment, r *strict.Reader) {
	e, speed := s.Each.Speed, p.targets(s, 1).Speed
	if !e.Pos.IsSet() || e.List != nil || !speed.Pos.IsSet() || !p.Units.Pos.IsSet() {
		return
	}
	switch c := e.Change; {
	case speed.Share() != c.Points && speed.Share():
		r.ErrorfAt(e.Pos, "the speed is a share, which changes in percent points: write +1 %%")
	case speed.Share() != c.Points:
		r.ErrorfAt(e.Pos, "percent points change a share of a pace, this speed is none")
	case c.Points:
	case p.Unit().Pace() && !c.Pace:
		r.ErrorfAt(e.Pos, "units says %s: write 5s faster or 5s slower", p.Unit())
	case !p.Unit().Pace() && c.Pace:
		r.ErrorfAt(e.Pos, "units says %s: write +0.5 or -0.5", p.Unit())
	}
}

// checkResults reports what a change comes to in some set and may not be.
func (p *Plan) checkResults(s *parts.Segment, sets int, r *strict.Reader) {
	e := &s.Each
	// A change is the farthest from where it starts in the last set.
	a := p.Asked(s, sets, 0)
	outside := func(pos problem.Pos, what, is, low, high string) {
		r.ErrorfAt(pos, "in set %d %s would be %s, outside %s to %s", sets, what, is, low, high)
	}
	const lowIncline, highIncline, lowCadence, highCadence = -150, 400, 600, 2200 // as the tags of Targets
	if e.Incline.Change.By != 0 && (a.Incline < lowIncline || a.Incline > highIncline) {
		outside(e.Incline.Pos, "the incline", units.FormatTenths(a.Incline), "-15", "40")
	}
	if e.Cadence.Change.By != 0 && (a.Cadence < lowCadence || a.Cadence > highCadence) {
		outside(e.Cadence.Pos, "the cadence", units.FormatTenths(a.Cadence), "60", "220")
	}
	if low, high := SegmentBounds(); e.For.Change.By != 0 && (a.Length < low || a.Length > high) {
		outside(e.For.Pos, "the time", a.Length.Round(time.Millisecond).String(), units.FormatDuration(low), units.FormatDuration(high))
	}
	if e.RPE.Change.By != 0 && a.ByFeel && (a.RPE.Low < 0 || a.RPE.High > units.MaxRPE) {
		outside(e.RPE.Pos, "the exertion", a.RPE.String(), "0", "10")
	}
	if e.RPE.Change.By%units.RPEStep != 0 {
		r.ErrorfAt(e.RPE.Pos, "exertion changes in halves: +0.5 or +1")
	}
	if e.Speed.Change != (value.Change{}) && p.Units.Pos.IsSet() && !a.ByFeel {
		low, high := value.Limits(p.Unit())
		u, is := p.Unit(), a.Speed.Rounded()
		if is.Low <= 0 || u.Faster(is.Low, low) < 0 || u.Faster(is.High, high) > 0 {
			outside(e.Speed.Pos, "the speed", u.FormatRange(is)+" "+string(u), u.Format(low), u.Format(high))
		} else {
			p.checkTop(e.Speed.Pos, is.High, r)
		}
	}
}

// checkRamp reports a ramp that does not come out, or that something else stands against.
func (p *Plan) checkRamp(s *parts.Segment, r *strict.Reader) {
	ramp := &s.Ramp
	if !ramp.Pos.IsSet() {
		return
	}
	for _, x := range ramp.Speed {
		p.checkSpeed(x, r)
	}
	switch {
	case s.Each.Pos.IsSet():
		r.ErrorfAt(ramp.Pos, "a ramp is the same in every set: it stands without each")
	case s.For.Distance > 0 || s.For.Remainder:
		r.ErrorfAt(ramp.Pos, "a ramp needs a time, which its steps divide")
	case len(ramp.Incline) > 0 && s.Incline.Pos.IsSet():
		r.ErrorfAt(s.Incline.Pos, "the ramp says which incline: give it once")
	case len(ramp.Speed) > 0 && s.Paced():
		r.ErrorfAt(ramp.Pos, "the ramp says which speed: give it once")
	}
	ramp.Check(s.For.Value, r)
}
