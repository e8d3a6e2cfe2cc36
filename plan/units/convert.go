package units

import (
	"math/big"
	"time"
)

// How speeds and paces are rounded, spoken and shown alike: a value is worked out
// as an exact fraction, converted where need be (the kilometre is 1000 m, the mile
// 1609.344 m), and rounded once, in the unit in which it is dialled in, to the
// nearest step; halfway between two steps it goes to the larger number: the faster
// of two speeds, the slower of two paces. So 4:30 for a kilometre is 7:15 for a
// mile (7:14.52), and 8 km/h is 5 mph (4.971).

// lengthOf is the kilometre or mile of a unit.
func lengthOf(u Unit) int64 {
	if u.Imperial() {
		return int64(Mile)
	}
	return int64(kilometre)
}

// exact is a speed of u as a fraction: tenths, or seconds.
func exact(s Speed) *big.Rat { return big.NewRat(int64(s), 1) }

// converted is the number x of unit u, tenths or seconds, in the unit to.
func (u Unit) converted(to Unit, x *big.Rat) *big.Rat {
	if u == to {
		return x
	}
	ratio := big.NewRat(lengthOf(u), lengthOf(to))
	const hour = 36_000 // tenths of a speed times seconds of its pace: 10 an hour, 3600 s
	switch {
	case u.Pace() && to.Pace():
		return x.Quo(x, ratio)
	case u.Pace():
		return x.Mul(ratio, x.Quo(big.NewRat(hour, 1), x))
	case to.Pace():
		return x.Quo(big.NewRat(hour, 1), x.Mul(x, ratio))
	}
	return x.Mul(x, ratio)
}

// Convert returns the speed s of unit u in the unit to, rounded half up to a tenth
// or a second.
func (u Unit) Convert(to Unit, s Speed) Speed {
	return Speed(round(u.converted(to, exact(s)), 1))
}

// Between is the number that lies the fraction aim of the way from low to high.
func Between(low, high, aim *big.Rat) *big.Rat {
	x := new(big.Rat).Sub(high, low)
	return x.Add(x.Mul(x, aim), low)
}

// At returns the speed that lies the fraction aim, from 0 to 1, of the way from the
// slow end of r, a range in u, to its fast end, in the unit to and on a step of the
// machine. It lies evenly between the ends in u; it is converted and rounded
// afterwards, once. It stays inside r where a step lies inside it, and never leaves
// it by more than half a step, except that no number is less than one step.
func (u Unit) At(r Exact, aim *big.Rat, to Unit, step Speed) Speed {
	in := func(x *big.Rat) *big.Rat { return u.converted(to, new(big.Rat).Set(x)) }
	x := in(Between(r.Low, r.High, aim))
	return max(step, Speed(onStep(x, in(r.Low), in(r.High), int64(step))))
}

// Exact is a span of speeds of a unit as fractions, tenths or seconds, the slow end first: what a share or a change
// from set to set comes to before it is rounded.
type Exact struct{ Low, High *big.Rat }

// Exactly is a range as fractions.
func (r Range) Exactly() Exact { return Exact{exact(r.Low), exact(r.High)} }

// Exactly is a span of speeds of u in another unit.
func (u Unit) Exactly(to Unit, e Exact) Exact {
	in := func(x *big.Rat) *big.Rat {
		if x.Sign() <= 0 {
			return new(big.Rat)
		}
		return u.converted(to, new(big.Rat).Set(x))
	}
	return Exact{in(e.Low), in(e.High)}
}

// Rounded is a span in whole tenths or seconds, halves up.
func (e Exact) Rounded() Range { return Range{Speed(round(e.Low, 1)), Speed(round(e.High, 1))} }

// round is the multiple of step nearest to x, which is not negative; halfway it is
// the larger one.
func round(x *big.Rat, step int64) int64 {
	q := new(big.Rat).Quo(x, big.NewRat(step, 1))
	return floor(q.Add(q, big.NewRat(1, 2))) * step
}

// floor is the largest whole number not above x, which is not negative.
func floor(x *big.Rat) int64 { return new(big.Int).Quo(x.Num(), x.Denom()).Int64() }

// ceil is the smallest whole number not below x, which is not negative.
func ceil(x *big.Rat) int64 {
	n := floor(x)
	if !x.IsInt() {
		n++
	}
	return n
}

// onStep is x, which lies between the numbers a and b, rounded to a step, but not
// out of [a, b] where a step lies in it. It rises with x.
func onStep(x, a, b *big.Rat, step int64) int64 {
	if a.Cmp(b) > 0 {
		a, b = b, a
	}
	steps := func(x *big.Rat) *big.Rat { return new(big.Rat).Quo(x, big.NewRat(step, 1)) }
	n := round(x, step)
	if first, last := ceil(steps(a))*step, floor(steps(b))*step; first <= last {
		n = min(max(n, first), last)
	}
	return n
}

// UsualStep is the smallest step of a treadmill marked in u where nothing else is
// known: 0.1, or 5 s for paces. Common practice.
func (u Unit) UsualStep() Speed {
	if u.Pace() {
		return 5
	}
	return 1
}

// Limits of a step: what treadmills have, with room to spare.
const (
	maxStep     = 20 // tenths of a km/h or mile an hour
	maxPaceStep = 60 // seconds
)

// ReadStep reads a treadmill's smallest step in u: "0.1", or "5s" for paces. ok is
// false for anything else than 0.1 to 2, or whole seconds from 1s to 60s.
func (u Unit) ReadStep(s string) (step Speed, ok bool) {
	if u.Pace() {
		d, err := time.ParseDuration(s)
		return Speed(d / time.Second), err == nil && d%time.Second == 0 && d >= time.Second && d <= maxPaceStep*time.Second
	}
	tenths, ok := ReadTenths(s)
	return Speed(tenths), ok && tenths >= 1 && tenths <= maxStep
}

// FormatStep writes a step as ReadStep reads it.
func (u Unit) FormatStep(step Speed) string {
	if u.Pace() {
		return FormatDuration(time.Duration(step) * time.Second)
	}
	return FormatTenths(int64(step))
}
