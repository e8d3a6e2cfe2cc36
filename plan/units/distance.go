package units

import (
	"math/big"
	"strings"
	"time"
)

// ReadDistance reads a decimal number of metres, kilometres or miles as written ("400", "1.5", "0.25") into whole
// millimetres; ok is false for anything else. A mile's parts are rounded to the nearest millimetre.
func ReadDistance(number, unit string) (d Millimetres, ok bool) {
	x, ok := new(big.Rat).SetString(number)
	if !ok || x.Sign() <= 0 || len(number) > 12 {
		return 0, false
	}
	switch u := strings.ToLower(unit); {
	case strings.HasPrefix(u, "k"):
		x.Mul(x, big.NewRat(int64(kilometre), 1))
	case u == "mi" || strings.HasPrefix(u, "mile"):
		x.Mul(x, big.NewRat(int64(Mile), 1))
	case strings.HasPrefix(u, "m"):
		x.Mul(x, big.NewRat(1000, 1))
	default:
		return 0, false
	}
	return Millimetres(round(x, 1)), true
}

// TimeFor is how long a distance takes at a speed of u in tenths or seconds, exactly, rounded up to a whole second.
func (u Unit) TimeFor(d Millimetres, s *big.Rat) time.Duration {
	if s.Sign() <= 0 {
		return 0
	}
	x := big.NewRat(int64(d), lengthOf(u)) // kilometres or miles
	if u.Pace() {
		x.Mul(x, s)
	} else {
		x.Mul(x, new(big.Rat).Quo(big.NewRat(36_000, 1), s)) // tenths an hour
	}
	return time.Duration(ceil(x)) * time.Second
}
