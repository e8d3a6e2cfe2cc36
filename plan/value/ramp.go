package value

import (
	"math/big"
	"time"

	"cuewright/plan/problem"
	"cuewright/plan/strict"
	"cuewright/plan/units"
)

// A Ramp leads from one value to another in steps of equal length, each of them a segment.
type Ramp struct {
	Pos     problem.Pos
	Speed   []Speeds        `key:"speed" doc:"the first and the last, each one speed or [slow, fast]"`
	Incline []Incline       `key:"incline" in:"-15..40" what:"an incline of" doc:"the first and the last"`
	Every   strict.Duration `key:"every,required" in:"20s..12h" doc:"how long a step lasts"`
}

// Steps is how many steps a ramp has in a time: 1 without a ramp.
func (r *Ramp) Steps(in time.Duration) int {
	if every := r.Every.Value; r.Pos.IsSet() && every > 0 {
		return max(1, int(in/every))
	}
	return 1
}

// InclineAt is the incline in tenths that lies a part of the way from the first to the last, rounded to half a percent;
// ok is false where the ramp is not of incline.
func (r *Ramp) InclineAt(part *big.Rat) (tenths int64, ok bool) {
	if len(r.Incline) != 2 {
		return 0, false
	}
	const half = 5 // tenths
	x := units.Between(big.NewRat(r.Incline[0].Value, half), big.NewRat(r.Incline[1].Value, half), part)
	x.Add(x, big.NewRat(1, 2))
	return new(big.Int).Div(x.Num(), x.Denom()).Int64() * half, true
}

// SpeedAt is the speed that lies a part of the way from the first to the last, exactly; ok is false where the ramp is not
// of speed.
func (r *Ramp) SpeedAt(part *big.Rat, u units.Unit, paces *Paces) (at units.Exact, ok bool) {
	if len(r.Speed) != 2 {
		return at, false
	}
	from, to := r.Speed[0].In(u, paces), r.Speed[1].In(u, paces)
	return units.Exact{Low: units.Between(from.Low, to.Low, part), High: units.Between(from.High, to.High, part)}, true
}

// Check reports a ramp that does not come out in the time of its segment, which is 0 where it has none.
func (r *Ramp) Check(in time.Duration, rd *strict.Reader) {
	if len(r.Speed) == 0 && len(r.Incline) == 0 {
		rd.ErrorfAt(r.Pos, "a ramp leads somewhere: give incline or speed with the first value and the last, [3, 6]")
	}
	if n := len(r.Incline); n != 0 && n != 2 {
		rd.ErrorfAt(r.Incline[0].Pos, "a ramp has two inclines, the first and the last, not %d", n)
	}
	if n := len(r.Speed); n != 0 && n != 2 {
		rd.ErrorfAt(r.Speed[0].Pos, "a ramp has two speeds, the first and the last, not %d; ranges are written [[7, 9], [10, 12]]", n)
	}
	switch {
	case r.Every.Value <= 0 || in <= 0:
	case in%r.Every.Value != 0:
		rd.ErrorfAt(r.Every.Pos, "steps of %s do not divide %s", units.FormatDuration(r.Every.Value), units.FormatDuration(in))
	case r.Steps(in) < 2:
		rd.ErrorfAt(r.Every.Pos, "a ramp has two steps at least: %s is one", units.FormatDuration(in))
	}
}
