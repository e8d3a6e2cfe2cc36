package value

import (
	"time"

	"cuewright/plan/problem"
	"cuewright/plan/strict"
	"cuewright/plan/units"
)

// A Say is a sentence at a fixed time of a segment.
type Say struct {
	Pos  problem.Pos
	At   strict.Offset `key:"at,required" doc:"from the segment's start, or from its end when negative"`
	Text strict.Text   `key:"text,required" doc:"what is said"`
	Set  SetChoice     `key:"set" in:"1..10000" doc:"in which sets only: a number, last, odd, even, or a list of numbers"`
}

// Check reports a sentence that lies outside its segment, which lasts a length in each of so many sets (0 for none), or
// whose set there is not.
func (s *Say) Check(sets int, length func(set int) time.Duration, r *strict.Reader) {
	if s.Set.Pos.IsSet() && sets == 0 {
		r.ErrorfAt(s.Set.Pos, "set: belongs to a segment inside sets, this one stands outside")
		return
	}
	for _, n := range s.Set.Numbers {
		if n.Value > sets {
			r.ErrorfAt(n.Pos, "there is no set %d here, only %d", n.Value, sets)
		}
	}
	for set := min(1, sets); set <= sets; set++ {
		if set > 0 && !s.Set.Has(set, sets) {
			continue
		}
		lasts := length(set)
		if t := s.At.Value; lasts > 0 && (t >= lasts || t < -lasts) {
			in := ""
			if sets > 0 && lasts != length(1) {
				in = " in set " + units.FormatTenths(int64(10*set))
			}
			r.ErrorfAt(s.At.Pos, "%s is outside the segment, which lasts %s%s", units.FormatDuration(t), units.FormatDuration(lasts), in)
			return
		}
	}
}
