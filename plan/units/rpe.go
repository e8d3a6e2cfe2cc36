package units

import "math/big"

// RPE is a span of ratings of perceived exertion in tenths, the easy end first; both
// ends are equal where there is one rating. They are counted from 0 (nothing at all) to
// 10 (extremely strong), as on G. Borg's CR10 scale, with its halves: 0.5 is "extremely
// weak" there. (Anchors as a page about the scale gives them: 0, 0.5, 1, 2, 3, 4, 5, 7,
// 10.)
type RPE struct{ Low, High int64 }

// Bounds of a rating of perceived exertion, and its step, in tenths.
const (
	MaxRPE  = 100
	RPEStep = 5
)

// Single reports whether r is one rating.
func (r RPE) Single() bool { return r.Low == r.High }

// String writes r as a coach notes it: "7", "5–6.5".
func (r RPE) String() string {
	if r.Single() {
		return FormatTenths(r.Low)
	}
	return FormatTenths(r.Low) + "–" + FormatTenths(r.High)
}

// At returns the rating, in tenths, that lies the fraction aim, from 0 to 1, of the way
// from the easy end of r to the hard one, on a step.
func (r RPE) At(aim *big.Rat) int64 {
	return onStep(Between(big.NewRat(r.Low, 1), big.NewRat(r.High, 1), aim), big.NewRat(r.Low, 1), big.NewRat(r.High, 1), RPEStep)
}
