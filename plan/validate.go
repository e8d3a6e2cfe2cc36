package plan

import (
	"path/filepath"
	"slices"
	"time"

	"cuewright/plan/problem"
	"cuewright/plan/strict"
	"cuewright/plan/units"
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
		if e.Pos.IsSet() && !e.paced() {
			r.ErrorfAt(p.Efforts.Keys[i].Pos, "the effort %q has no speed: add speed: with one speed or [slow, fast], or feel: from 0 to 10", p.Efforts.Keys[i].Value)
		}
		p.checkPace(e.Targets, r)
	}
	for _, item := range p.Items {
		if s := item.Segment; s != nil {
			p.checkSegment(s, 0, r)
		}
		if b := item.Block; b != nil {
			p.checkBlock(b, r)
		}
	}
	p.checkIncline(r)
	p.checkTimes(r)
	p.checkSize(r)
	p.checkCalls(r)
}

// paced reports whether the targets say how hard to go.
func (t *Targets) paced() bool { return t.Speed.Pos.IsSet() || t.RPE.Pos.IsSet() }

func (p *Plan) checkPace(t Targets, r *strict.Reader) {
	if t.Speed.Pos.IsSet() && p.Units.Pos.IsSet() {
		if high := t.Speed.Check(p.Unit(), r).High; t.Speed.Readable(p.Unit()) {
			p.checkTop(t.Speed.HighPos(), high, r)
		}
	}
	if t.Speed.Pos.IsSet() && t.RPE.Pos.IsSet() {
		r.ErrorfAt(t.RPE.Pos, "feel stands in place of a speed: give one of them, not both")
	}
}

// topSpeed is the speed over which a number is taken for a slip, in tenths of a km/h, unless the plan says that the
// machines run so fast. Common practice: treadmills for running end at 20 to 25 km/h.
const topSpeed = 250

// checkTop refuses a speed that hardly any treadmill runs: somebody would be thrown off by a transposed digit.
func (p *Plan) checkTop(pos problem.Pos, s units.Speed, r *strict.Reader) {
	u, rate := p.Unit(), units.RateOf(p.Unit(), s)
	top := units.RateOf(units.KmH, topSpeed)
	if own := p.Advice.TopSpeed; own.Pos.IsSet() {
		if at := units.RateOf(own.Units, own.Value); at.Compare(top) > 0 {
			top = at
		}
	}
	if rate.Compare(top) <= 0 {
		return
	}
	slip := ""
	if other, ok := swapped(s); ok && !u.Pace() && units.RateOf(u, other).Compare(top) <= 0 {
		slip = "write " + u.Format(other) + " if two digits changed places, or "
	}
	room := units.KmH
	if u.Imperial() {
		room = units.Mph
	}
	needed := rate.In(room)
	if units.RateOf(room, needed).Compare(rate) < 0 {
		needed++
	}
	r.ErrorfAt(pos, "%s %s is faster than treadmills run, %s %s at most: %sgive advice: {top-speed: %s %s} where the machines do",
		u.Format(s), u, room.Format(top.In(room)), room, slip, room.Format(needed), room)
}

// swapped is a speed with the two digits before the point in the other order.
func swapped(s units.Speed) (units.Speed, bool) {
	ones, tens := s/10%10, s/100
	return s%10 + tens*10 + ones*100, tens > 0 && tens < 10 && ones != tens
}

func (p *Plan) checkBlock(b *Block, r *strict.Reader) {
	for i := range b.Segments {
		p.checkSegment(&b.Segments[i], b.Sets.Value, r)
	}
	for i := range b.Between {
		p.checkSegment(&b.Between[i], b.Sets.Value-1, r)
		for _, say := range b.Between[i].Say {
			if say.Set.Last {
				r.ErrorfAt(say.Set.Pos, "what stands between the sets is not run after the last one: give a number up to %d", b.Sets.Value-1)
			}
		}
	}
	if len(b.Between) > 0 && b.Sets.Value == 1 {
		r.ErrorfAt(b.Between[0].Pos, "there is nothing between the sets where sets is 1")
	}
}

// checkSegment checks a segment that is run in the given number of sets, 0
// outside a block.
func (p *Plan) checkSegment(s *Segment, sets int, r *strict.Reader) {
	if !s.Pos.IsSet() {
		return // not readable as a segment at all
	}
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
	case !s.Effort.Pos.IsSet() && !s.paced():
		r.ErrorfAt(s.Pos, "the segment has no effort, no speed and no feel: give one of them")
	}
	p.checkPace(s.Targets, r)
	for _, say := range s.Say {
		length := p.Time(s)
		if at := say.At.Value; length > 0 && (at >= length || at < -length) {
			r.ErrorfAt(say.At.Pos, "%s is outside the segment, which lasts %s", units.FormatDuration(at), units.FormatDuration(length))
		}
		switch n := say.Set; {
		case !n.Pos.IsSet():
		case sets <= 0:
			r.ErrorfAt(n.Pos, "set: belongs to a segment inside sets, this one stands outside")
		case n.Number > sets:
			r.ErrorfAt(n.Pos, "there is no set %d here, only %d", n.Number, sets)
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
	inclined := map[string]bool{}
	for i, e := range p.Efforts.Items {
		name := p.Efforts.Keys[i]
		inclined[name.Value] = e.Incline.Pos.IsSet()
		note("the effort \""+name.Value+"\"", name.Pos, e.Incline.Pos.IsSet())
	}
	for s := range p.EachSegment {
		switch {
		case s.Effort.Pos.IsSet() && s.Incline.Pos.IsSet():
			note("this segment", s.Incline.Pos, true)
		case !s.Effort.Pos.IsSet() && s.paced():
			note("this segment", s.Pos, s.Incline.Pos.IsSet())
		}
	}
	if len(with) > 0 && len(without) > 0 {
		r.ErrorfAt(without[0].pos, "%s has no incline, while line %d gives one: give it everywhere or nowhere",
			without[0].what, with[0].pos.Line)
	}
}

// checkSize refuses a class that is too long before it is unfolded.
func (p *Plan) checkSize(r *strict.Reader) {
	segments, length := 0, time.Duration(0)
	for _, item := range p.Items {
		pos, runs := problem.Pos{}, 1
		var once, between []Segment
		if item.Segment != nil {
			pos, once = item.Segment.Pos, []Segment{*item.Segment}
		}
		if b := item.Block; b != nil {
			pos, runs, once, between = b.Sets.Pos, b.Sets.Value, b.Segments, b.Between
		}
		for i, run := range [][]Segment{once, between} {
			times := runs - i // one time less between the sets
			segments += times * len(run)
			for _, s := range run {
				// At most 10,000 sets of segments of at most 12 h each: no overflow
				// as long as the sum stops at the first block that passes the bound.
				length += time.Duration(times) * p.Time(&s)
				if length > maxLength || segments > maxSegments {
					r.ErrorfAt(pos, "the class grows past %s or %d segments here, which is the most that is made", units.FormatDuration(maxLength), maxSegments)
					return
				}
			}
		}
	}
}

func (p *Plan) checkCalls(r *strict.Reader) {
	whole := func(d strict.Duration) {
		if d.Pos.IsSet() && d.Value%time.Second != 0 {
			r.ErrorfAt(d.Pos, "%s is spoken, so whole seconds are accepted here", d.Value)
		}
	}
	whole(p.Calls.Ahead)
	if len(p.Calls.Left) > 10 {
		r.ErrorfAt(p.Calls.Left[10].Pos, "at most 10 time-left calls are made in a segment")
	}
	seen := map[time.Duration]bool{}
	for _, left := range p.Calls.Left {
		whole(left)
		if seen[left.Value] {
			r.ErrorfAt(left.Pos, "%s stands here twice", units.FormatDuration(left.Value))
		}
		seen[left.Value] = true
	}
	slices.SortFunc(p.Calls.Left, func(a, b strict.Duration) int { return int(b.Value - a.Value) })
	if count := time.Duration(p.Calls.Count.From.Value) * time.Second; p.Calls.Opening.Value < count+time.Second {
		r.ErrorfAt(p.Calls.Opening.Pos, "an opening of %s has no room for a count from %d", units.FormatDuration(p.Calls.Opening.Value), p.Calls.Count.From.Value)
	}
	if v := p.Voice; v.Pos.IsSet() && filepath.IsAbs(v.Value) && filepath.Clean(v.Value) == string(filepath.Separator) {
		r.ErrorfAt(v.Pos, "the voice is a folder of recordings, not the root of the disk")
	}
}
