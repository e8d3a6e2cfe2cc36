package value

import (
	"cuewright/plan/problem"
	"cuewright/plan/strict"
	"cuewright/plan/units"
)

// topSpeed is the speed over which a number is taken for a slip, in tenths of a km/h, unless the plan says that the
// machines run so fast: 30 km/h. Common practice: treadmills for running end at 20 to 25 km/h.
const topSpeed = 300

// CheckTop refuses a speed that hardly any treadmill runs: somebody would be thrown off by a transposed digit. machines is
// the top speed that the plan gives its machines, or no speed.
func CheckTop(u units.Unit, s units.Speed, machines units.Rate, pos problem.Pos, r *strict.Reader) {
	rate := units.RateOf(u, s)
	top := units.RateOf(units.KmH, topSpeed)
	if machines.Compare(top) > 0 {
		top = machines
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
