package units

import (
	"time"
)

// A Rate is a speed held exactly, as a fraction of millimetres an hour. The zero
// Rate is no speed.
type Rate struct{ num, den int64 }

const hour = 3600 // seconds

// RateOf returns a speed in unit u, or no speed where s is none.
func RateOf(u Unit, s Speed) Rate {
	if s <= 0 {
		return Rate{}
	}
	switch u {
	case KmH:
		return Rate{int64(s) * int64(kilometre), 10}
	case Mph:
		return Rate{int64(s) * int64(Mile), 10}
	case MinKm:
		return Rate{int64(kilometre) * hour, int64(s)}
	default:
		return Rate{int64(Mile) * hour, int64(s)}
	}
}

// IsSet reports whether r is a speed at all.
func (r Rate) IsSet() bool { return r.num > 0 }

// In returns the speed nearest to r that u can write, a tie rounded up:
// tenths of a km/h or mile an hour, whole seconds of a pace. So 4:30 min/km,
// which is 7:14.52 min/mile, is 7:15.
func (r Rate) In(u Unit) Speed {
	if !r.IsSet() {
		return 0
	}
	switch u {
	case KmH:
		return Speed(nearest(r.num*10, r.den*int64(kilometre)))
	case Mph:
		return Speed(nearest(r.num*10, r.den*int64(Mile)))
	case MinKm:
		return Speed(nearest(int64(kilometre)*hour*r.den, r.num))
	default:
		return Speed(nearest(int64(Mile)*hour*r.den, r.num))
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
	if !r.IsSet() {
		return 0
	}
	return float64(r.num) / float64(r.den*60*1000)
}

// Distance is how far the belt runs in a time of whole milliseconds, rounded once.
func (r Rate) Distance(d time.Duration) Millimetres {
	if !r.IsSet() {
		return 0
	}
	return Millimetres(nearest(r.num*d.Milliseconds(), r.den*hour*1000))
}

// Millimetres is a distance or a height.
type Millimetres int64

// Mile is the international mile, exact since the yard is 0.9144 m (NIST Special
// Publication 811, B.6).
const Mile Millimetres = 1_609_344

const kilometre Millimetres = 1_000_000
