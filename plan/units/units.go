// Package units holds the quantities of a class exactly, and writes them in words:
// speeds and paces as a treadmill shows them, perceived exertion, distances, the mass
// of a body, times of a class and lengths of time. They are whole numbers of their
// smallest part; what is converted is worked out as a fraction and rounded once.
package units

import (
	"fmt"
	"math/big"
	"slices"
	"strconv"
	"strings"
)

// Unit is how speed is counted. Incline is always in percent grade.
type Unit string

// The units of speed a treadmill shows.
const (
	KmH     Unit = "km/h"
	Mph     Unit = "mph"
	MinKm   Unit = "min/km"
	MinMile Unit = "min/mile"
)

// Names returns the units as they are written, in the order in which they are listed.
func Names() []string { return []string{string(KmH), string(Mph), string(MinKm), string(MinMile)} }

// Read reads a unit; ok is false where text is none.
func Read(text string) (u Unit, ok bool) {
	if u, ok := u.Aliases()[strings.ToLower(text)]; ok {
		return u, true
	}
	return Unit(text), slices.Contains(Names(), text)
}

// Aliases are other spellings of units that are in use, in small letters, and what they mean.
func (Unit) Aliases() map[string]Unit {
	return map[string]Unit{
		"kmh": KmH, "kph": KmH, "kmph": KmH, "km/hr": KmH, "mi/h": Mph, "mile/h": Mph, "miles/h": Mph, "mi/hr": Mph,
		"min/k": MinKm, "/km": MinKm, "min/mi": MinMile, "/mi": MinMile, "/mile": MinMile,
	}
}

// Pace reports whether u counts time for a distance, where less is faster.
func (u Unit) Pace() bool { return u == MinKm || u == MinMile }

// Imperial reports whether u counts in miles.
func (u Unit) Imperial() bool { return u == Mph || u == MinMile }

// Speed is a speed in a unit, exactly: tenths of a km/h or mile an hour, or whole
// seconds for a kilometre or mile.
type Speed int64

// Format writes s as a treadmill shows it: "5.5", "8" or "6:30".
func (u Unit) Format(s Speed) string {
	if u.Pace() {
		return fmt.Sprintf("%d:%02d", s/60, s%60)
	}
	return FormatTenths(int64(s))
}

// Faster returns a positive number where a is faster than b, negative where it
// is slower and 0 where they are equal.
func (u Unit) Faster(a, b Speed) int64 {
	if u.Pace() {
		return int64(b - a)
	}
	return int64(a - b)
}

// Range is a span of speeds, the slow end first; both ends are equal where there is
// one speed.
type Range struct{ Low, High Speed }

// Single reports whether r is one speed.
func (r Range) Single() bool { return r.Low == r.High }

// FormatRange writes r as a coach notes it: "5.5" or "5.5–7".
func (u Unit) FormatRange(r Range) string {
	if r.Single() {
		return u.Format(r.Low)
	}
	return u.Format(r.Low) + "–" + u.Format(r.High)
}

// FormatTenths writes a number held in tenths: "5", "5.5", "-0.5".
func FormatTenths(t int64) string {
	s := strconv.FormatFloat(float64(t)/10, 'f', 1, 64)
	return strings.TrimSuffix(s, ".0")
}

// ReadTenths parses a decimal number with at most one decimal that matters
// ("5", "5.5", "-3.0") into tenths.
func ReadTenths(s string) (int64, bool) {
	if s == "" || strings.Trim(s, "+-.0123456789") != "" || len(s) > 12 {
		return 0, false
	}
	x, ok := new(big.Rat).SetString(s)
	if !ok {
		return 0, false
	}
	x.Mul(x, big.NewRat(10, 1))
	if !x.IsInt() || !x.Num().IsInt64() {
		return 0, false
	}
	return x.Num().Int64(), true
}
