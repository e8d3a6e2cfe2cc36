package show

import (
	"cuewright/plan/class"
	"cuewright/plan/units"
	"strings"
)

// TargetText writes a target whose speed is in u in one line: "8–11 km/h, incline
// 5 %", "effort 7 of 10, incline 5 %".
func TargetText(u units.Unit, t class.Target) string { return strings.Join(TargetParts(u, t), ", ") }

// TargetParts are the numbers of a target, each with what it counts.
func TargetParts(u units.Unit, t class.Target) []string {
	if t.Floor {
		return []string{"off the belt"}
	}
	parts := []string{u.FormatRange(t.Speed) + " " + string(u)}
	if t.ByFeel {
		parts[0] = "effort " + t.RPE.String() + " of 10"
	}
	if t.HasIncline {
		parts = append(parts, "incline "+units.FormatTenths(t.Incline)+" %")
	}
	if t.Cadence > 0 {
		parts = append(parts, units.FormatTenths(t.Cadence)+" steps/min")
	}
	return parts
}
