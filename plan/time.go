package plan

import (
	"time"

	"cuewright/plan/strict"
	"cuewright/plan/units"
	"cuewright/plan/value"
)

// Time is how long a segment lasts each time it is run: the time as written; for a distance, what the slow end of its
// speed as written needs for it, rounded up to a whole second, so that a room changes together at every level and in
// every unit; for the remainder, what the length leaves. It is 0 where that cannot be told.
func (p *Plan) Time(s *Segment) time.Duration {
	switch {
	case s.For.Distance > 0:
		if speeds := p.speeds(s); speeds.Pos.IsSet() {
			return p.Unit().TimeFor(s.For.Distance, speeds.In(p.Unit()).Low)
		}
		return 0
	case s.For.Remainder:
		return max(0, p.rest())
	}
	return s.For.Value
}

// speeds are those that a segment is run at: its own, or its effort's.
func (p *Plan) speeds(s *Segment) value.Speeds {
	if s.paced() {
		return s.Speed
	}
	effort, _ := p.Efforts.Get(s.Effort.Value)
	return effort.Speed
}

// A run is a segment as written, and how often it is run.
type run struct {
	segment *Segment
	times   int
}

// runs yields every segment as written with how often it is run.
func (p *Plan) runs(yield func(run) bool) {
	for _, item := range p.Items {
		if item.Segment != nil && !yield(run{item.Segment, 1}) {
			return
		}
		if b := item.Block; b != nil {
			for i := range b.Segments {
				if !yield(run{&b.Segments[i], b.Sets.Value}) {
					return
				}
			}
			for i := range b.Between {
				if !yield(run{&b.Between[i], b.Sets.Value - 1}) {
					return
				}
			}
		}
	}
}

// minRemainder is the least that a remainder may be: what is shorter is no end of a class, and a sum gone wrong.
const minRemainder = time.Minute

// checkTimes reports distances that take no time, and a remainder that does not come out.
func (p *Plan) checkTimes(r *strict.Reader) {
	var remainder *Segment
	for l := range p.runs {
		s := l.segment
		switch {
		case s.For.Remainder && remainder != nil:
			r.ErrorfAt(s.For.Pos, "remainder stands already in line %d: one segment can take what the length leaves", remainder.For.Pos.Line)
		case s.For.Remainder:
			remainder = s
		case s.For.Distance > 0 && p.feels(s):
			r.ErrorfAt(s.For.Pos, "a distance needs a speed, this segment goes by feel: give it a time")
		case s.For.Distance > 0 && p.Units.Pos.IsSet() && p.speeds(s).Readable(p.Unit()):
			low, high := SegmentBounds()
			if t := p.Time(s); t < low || t > high {
				r.ErrorfAt(s.For.Pos, "this distance takes %s, outside %s to %s", units.FormatLength(t), units.FormatDuration(low), units.FormatDuration(high))
			}
		}
	}
	if remainder == nil {
		return
	}
	for _, item := range p.Items {
		if b := item.Block; b != nil && b.holds(remainder) {
			r.ErrorfAt(remainder.For.Pos, "remainder stands outside sets: what is done several times cannot be what is left")
			return
		}
	}
	switch rest := p.rest(); {
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

// rest is what the length leaves for the remainder, less than 0 where it is too short.
func (p *Plan) rest() time.Duration {
	rest := p.Length.Value
	for l := range p.runs {
		if !l.segment.For.Remainder {
			rest -= time.Duration(l.times) * p.Time(l.segment)
		}
	}
	return rest
}

// feels reports whether a segment is run by feel.
func (p *Plan) feels(s *Segment) bool {
	if s.paced() {
		return s.RPE.Pos.IsSet()
	}
	effort, _ := p.Efforts.Get(s.Effort.Value)
	return effort.RPE.Pos.IsSet()
}

// holds reports whether a segment is one of the block's.
func (b *Block) holds(s *Segment) bool {
	for _, run := range [][]Segment{b.Segments, b.Between} {
		for i := range run {
			if &run[i] == s {
				return true
			}
		}
	}
	return false
}
