package plan

import (
	"path/filepath"
	"slices"
	"time"

	"cuewright/plan/parts"
	"cuewright/plan/problem"
	"cuewright/plan/strict"
	"cuewright/plan/units"
	"cuewright/plan/value"
)

// Check reports what a changed copy of a plan that was read has wrong between its values.
func (p *Plan) Check() []problem.Problem {
	r := strict.Reader{File: p.File, Kind: problem.Plan}
	p.validate(&r)
	return r.Problems()
}

// validate reports what no single value can show: names that lead nowhere,
// units that do not fit, sizes that add up to too much.
func (p *Plan) validate(r *strict.Reader) {
	for i, e := range p.Efforts.Items {
		if e.Role.Value == value.Floor {
			checkNoTargets(e.Targets, r)
		} else if e.Pos.IsSet() && !e.Paced() {
			r.ErrorfAt(p.Efforts.Keys[i].Pos, "the effort %q has no speed: add speed: with one speed or [slow, fast], or feel: from 0 to 10", p.Efforts.Keys[i].Value)
		}
		p.checkPace(e.Targets, r)
		p.Efforts.Items[i].Calls.Check(r)
	}
	for i, pace := range p.Paces.Items {
		if pace.Share() {
			r.ErrorfAt(pace.Pos, "the pace %q is a share itself: a pace is one speed or [slow, fast]", p.Paces.Keys[i].Value)
		} else {
			p.checkSpeed(pace, r)
		}
	}
	for _, b := range p.Blocks {
		p.checkBlock(b, r)
	}
	for at := range p.Written {
		if len(at.Loops) > 2 {
			r.ErrorfAt(at.Nearest().Block.Pos, "sets stand in sets two deep, not deeper")
			return
		}
		p.checkSegment(at, r)
	}
	p.checkIncline(r)
	if p.checkSize(r) {
		p.checkRemainder(r)
	}
	p.Calls.Check(r)
	if o := p.Opening; o.Outlined() && !slices.ContainsFunc(p.Main, func(i parts.Item) bool { return i.Block != nil && i.Block.Sets.Value > 1 }) {
		r.ErrorfAt(o.Outline.Pos, "an outline tells of the sets of the main part, which has none: leave it out, and say what you like in opening: {say: [texts]}")
	}
	if v := p.Voice; v.Pos.IsSet() && filepath.IsAbs(v.Value) && filepath.Clean(v.Value) == string(filepath.Separator) {
		r.ErrorfAt(v.Pos, "the voice is a folder of recordings, not the root of the disk")
	}
}

func (p *Plan) checkPace(t parts.Targets, r *strict.Reader) {
	p.checkSpeed(t.Speed, r)
	if u := p.Unit(); !p.Units.Pos.IsSet() || !t.Speed.Walked(u, &p.Paces, t.Gait.Value) {
		t.Cadence.CheckRunning(r)
	}
	if t.Speed.Pos.IsSet() && t.RPE.Pos.IsSet() {
		r.ErrorfAt(t.RPE.Pos, "feel stands in place of a speed: give one of them, not both")
	}
}

func (p *Plan) checkSpeed(s value.Speeds, r *strict.Reader) {
	if !s.Pos.IsSet() || !p.Units.Pos.IsSet() {
		s.CheckNames(&p.Paces, r)
		return
	}
	if e := s.Check(p.Unit(), &p.Paces, r); s.Readable(p.Unit(), &p.Paces) {
		p.checkTop(s.HighPos(), e.Rounded().High, r)
	}
}

func (p *Plan) checkTop(pos problem.Pos, s units.Speed, r *strict.Reader) {
	machines := p.Advice.TopSpeed
	value.CheckTop(p.Unit(), s, units.RateOf(machines.Units, machines.Value), pos, r)
}

func (p *Plan) checkBlock(b *parts.Block, r *strict.Reader) {
	for i := range b.Between {
		for _, say := range b.Between[i].Say {
			if say.Set.Word == "last" {
				r.ErrorfAt(say.Set.Pos, "what stands between the sets is not run after the last one: give a number up to %d", b.Sets.Value-1)
			}
		}
	}
	if len(b.Between) > 0 && b.Sets.Value == 1 {
		r.ErrorfAt(b.Between[0].Pos, "there is nothing between the sets where sets is 1")
	}
}

// checkSegment checks a segment as written.
func (p *Plan) checkSegment(at parts.Place, r *strict.Reader) {
	s := at.Segment
	if !s.Pos.IsSet() {
		return // not readable as a segment at all
	}
	asks := s.Paced() || s.Each.Speed.List != nil || s.Each.RPE.List != nil || len(s.Ramp.Speed) > 0
	switch _, ok := p.Efforts.Get(s.Effort.Value); {
	case s.Effort.Pos.IsSet() && !ok:
		names := make([]string, len(p.Efforts.Keys))
		for i, k := range p.Efforts.Keys {
			names[i] = k.Value
		}
		if len(names) == 0 {
			r.ErrorfAt(s.Effort.Pos, "there is no effort %q: the plan has no efforts", s.Effort.Value)
		} else {
			r.ErrorfAt(s.Effort.Pos, "there is no effort %q%s", s.Effort.Value, strict.Accepted(s.Effort.Value, names))
		}
	case p.floor(s):
	case !s.Effort.Pos.IsSet() && !asks:
		r.ErrorfAt(s.Pos, "the segment has no effort, no speed and no feel: give one of them")
	}
	if !s.For.Pos.IsSet() && s.Each.For.List == nil {
		r.ErrorfAt(s.Pos, "the key \"for\" is missing: how long it lasts, a time like 90s, a distance like 400 metres, or remainder")
	}
	p.checkPace(s.Targets, r)
	s.Calls.Check(r)
	p.checkEach(at, r)
	p.checkRamp(s, r)
	p.checkFloor(at, r)
	p.checkDistances(at, r)
	sets := 0
	if len(at.Loops) > 0 {
		sets = at.Runs()
	}
	for _, say := range s.Say {
		say.Check(sets, func(set int) time.Duration { return p.Time(s, set) }, r)
	}
}

// checkDistances reports the first set whose distance has no time or none that a segment may last.
func (p *Plan) checkDistances(at parts.Place, r *strict.Reader) {
	s := at.Segment
	sets := 1
	if s.Each.Pos.IsSet() {
		sets = at.Runs()
	}
	low, high := SegmentBounds()
	for set := 1; set <= sets; set++ {
		extent := extentOf(s, set)
		if extent.Distance == 0 {
			continue
		}
		if p.targets(s, set).RPE.Pos.IsSet() && len(s.Ramp.Speed) == 0 {
			r.ErrorfAt(extent.Pos, "a distance needs a speed, this segment goes by feel: give it a time")
			return
		}
		if t := p.Time(s, set); t > 0 && (t < low || t > high) {
			r.ErrorfAt(extent.Pos, "this distance takes %s, outside %s to %s", units.FormatLength(t), units.FormatDuration(low), units.FormatDuration(high))
			return
		}
	}
}

// checkIncline demands an incline of every segment or of none: a treadmill
// keeps the last one, so that a plan which leaves some out says nothing sure.
func (p *Plan) checkIncline(r *strict.Reader) {
	type given struct {
		what string
		pos  problem.Pos
	}
	var with, without []given
	note := func(what string, pos problem.Pos, has bool) {
		if has {
			with = append(with, given{what, pos})
		} else {
			without = append(without, given{what, pos})
		}
	}
	for i, e := range p.Efforts.Items {
		name := p.Efforts.Keys[i]
		if e.Role.Value != value.Floor {
			note("the effort \""+name.Value+"\"", name.Pos, e.Incline.Pos.IsSet())
		}
	}
	for s := range p.EachSegment {
		if p.floor(s) {
			continue
		}
		own := s.Incline.Pos
		for _, other := range []problem.Pos{s.Each.Incline.Pos, s.Ramp.Pos} {
			if other.IsSet() && (other == s.Each.Incline.Pos || len(s.Ramp.Incline) > 0) {
				own = other
			}
		}
		switch {
		case s.Effort.Pos.IsSet() && own.IsSet():
			note("this segment", own, true)
		case !s.Effort.Pos.IsSet() && s.Paced():
			note("this segment", s.Pos, own.IsSet())
		}
	}
	if len(with) > 0 && len(without) > 0 {
		r.ErrorfAt(without[0].pos, "%s has no incline, while line %d gives one: give it everywhere or nowhere",
			without[0].what, with[0].pos.Line)
	}
}

// checkSize refuses a class that is too long before it is unfolded.
func (p *Plan) checkSize(r *strict.Reader) bool {
	segments, length := 0, time.Duration(0)
	for at := range p.Written {
		pos, runs := at.Segment.Pos, at.Segment.Steps()
		for i, loop := range at.Loops {
			pos = loop.Block.Sets.Pos
			times := loop.Block.Sets.Value
			if i == len(at.Loops)-1 {
				times = at.Runs()
			}
			// At most 10,000 sets in 10,000 sets of steps of 20 s in 12 h: no overflow.
			runs *= max(0, times)
		}
		segments += runs
		if segments <= maxSegments {
			// At most 10,000 segments of at most 12 h each.
			length += p.AllTime(at)
		}
		if length > maxLength || segments > maxSegments {
			r.ErrorfAt(pos, "the class grows past %s or %d segments here, which is the most that is made", units.FormatDuration(maxLength), maxSegments)
			return false
		}
	}
	return true
}
