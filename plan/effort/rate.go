package effort

import (
	"time"

	"cuewright/plan"
)

// A Rate is a speed held exactly, as a fraction of millimetres an hour. The zero
// Rate is no speed.
type Rate struct{ num, den int64 }

const (
	mmPerKm   = 1_000_000
	mmPerMile = 1_609_344 // plan.Mile
	hour      = 3600      // seconds
)

// RateOf returns a speed of a plan in units u, or no speed where s is none.
func RateOf(u plan.Units, s plan.Speed) Rate {
	if s <= 0 {
		return Rate{}
	}
	switch u {
	case plan.KmH:
		return Rate{int64(s) * mmPerKm, 10}
	case plan.Mph:
		return Rate{int64(s) * mmPerMile, 10}
	case plan.MinKm:
		return Rate{mmPerKm * hour, int64(s)}
	default:
		return Rate{mmPerMile * hour, int64(s)}
	}
}

// Given reports whether r is a speed at all.
func (r Rate) Given() bool { return r.num > 0 }

// In returns the speed nearest to r that units u can write, a tie rounded up:
// tenths of a km/h or mile an hour, whole seconds of a pace. So 4:30 min/km,
// which is 7:14.52 min/mile, is 7:15.
func (r Rate) In(u plan.Units) plan.Speed {
	if !r.Given() {
		return 0
	}
	switch u {
	case plan.KmH:
		return plan.Speed(nearest(r.num*10, r.den*mmPerKm))
	case plan.Mph:
		return plan.Speed(nearest(r.num*10, r.den*mmPerMile))
	case plan.MinKm:
		return plan.Speed(nearest(mmPerKm*hour*r.den, r.num))
	default:
		return plan.Speed(nearest(mmPerMile*hour*r.den, r.num))
	}
}

// nearest divides two positive numbers and rounds a half up.
func nearest(a, b int64) int64 { return (2*a + b) / (2 * b) }

// Compare is negative where r is slower than s, positive where it is faster.
func (r Rate) Compare(s Rate) int64 { return r.num*max(s.den, 1) - s.num*max(r.den, 1) }

// Differs reports whether two speeds lie further apart than a third.
func (r Rate) Differs(s, by Rate) bool {
	d := r.Compare(s)
	if d < 0 {
		d = -d
	}
	// At most 40 km/h and an hour for a mile: every product stays under 2^63.
	return d*max(by.den, 1) > by.num*max(r.den, 1)*max(s.den, 1)
}

// MetresPerMinute is the unit of the equations.
func (r Rate) MetresPerMinute() float64 {
	if !r.Given() {
		return 0
	}
	return float64(r.num) / float64(r.den*60*1000)
}

// Distance is how far the belt runs in a time of whole milliseconds, rounded once.
func (r Rate) Distance(d time.Duration) Millimetres {
	if !r.Given() {
		return 0
	}
	return Millimetres(nearest(r.num*d.Milliseconds(), r.den*hour*1000))
}

// Millimetres is a distance or a height.
type Millimetres int64
