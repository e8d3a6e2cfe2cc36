package effort

import (
	"fmt"
	"regexp"

	"cuewright/plan/units"
)

// Mass is the mass of a body in micrograms, in which tenths of a kilogram and of
// a pound are both whole. The zero Mass is not known.
type Mass int64

// MassUnit is a unit in which a mass is given.
type MassUnit string

// The units of mass. A pound is 0.45359237 kg exactly (NIST Special Publication
// 811, B.8; from memory).
const (
	Kilogram MassUnit = "kg"
	Pound    MassUnit = "lb"
)

// tenth is a tenth of a unit in micrograms.
func (u MassUnit) tenth() Mass {
	if u == Pound {
		return 45_359_237
	}
	return 100_000_000
}

const lightest, heaviest = 20, 300 // kg

var massForm = regexp.MustCompile(`^([0-9]+(?:\.[0-9]+)?) ?(kg|lb)$`)

// ParseMass reads a mass with its unit: "70kg", "154.5 lb". From 20 to 300 kg are
// accepted.
func ParseMass(s string) (Mass, error) {
	m := massForm.FindStringSubmatch(s)
	if m == nil {
		return 0, fmt.Errorf("%q is no mass: write it like 70kg or 154lb", s)
	}
	unit := MassUnit(m[2])
	tenths, ok := units.ReadTenths(m[1])
	if !ok || tenths > 10_000 {
		return 0, fmt.Errorf("%q is no mass: at most one decimal is accepted, from %d to %d kg", s, lightest, heaviest)
	}
	mass := Mass(tenths) * unit.tenth()
	if kg := Mass(10) * Kilogram.tenth(); mass < lightest*kg || mass > heaviest*kg {
		return 0, fmt.Errorf("%q is outside %d to %d kg", s, lightest, heaviest)
	}
	return mass, nil
}

// Format writes m in a unit, to the nearest tenth, half up.
func (m Mass) Format(u MassUnit) string {
	return units.FormatTenths(int64((2*m+u.tenth())/(2*u.tenth()))) + " " + string(u)
}

// String writes m as it was given: in kilograms where tenths of them are whole,
// else in pounds.
func (m Mass) String() string {
	if m%Kilogram.tenth() == 0 {
		return m.Format(Kilogram)
	}
	return m.Format(Pound)
}

// Kilograms returns m for arithmetic.
func (m Mass) Kilograms() float64 { return float64(m) / 1e9 }
