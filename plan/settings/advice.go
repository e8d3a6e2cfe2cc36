package settings

import (
	"regexp"
	"time"

	"gopkg.in/yaml.v3"

	"cuewright/plan/problem"
	"cuewright/plan/strict"
	"cuewright/plan/units"
)

// Advice are the limits of the advice on a class. They warn, they do not forbid.
type Advice struct {
	WarmUp        strict.Duration `key:"warm-up" in:"0s..1h" doc:"a shorter warm-up is warned of; 0s for no warning"`
	CoolDown      strict.Duration `key:"cool-down" in:"0s..1h" doc:"a shorter cool-down is warned of; 0s for no warning"`
	SpeedChange   SpeedLimit      `key:"speed-change" doc:"a larger change of speed at once is warned of: 6 km/h, 4 mph"`
	InclineChange strict.Tenths   `key:"incline-change" in:"0.5..50" doc:"a larger change of incline at once is warned of, in percent"`
	TopSpeed      SpeedLimit      `key:"top-speed" doc:"the fastest speed of the treadmills: 20 km/h, 12 mph"`
	TopIncline    strict.Tenths   `key:"top-incline" in:"0..40" doc:"the steepest incline of the treadmills, in percent"`
	LowIncline    strict.Tenths   `key:"low-incline" in:"-15..0" doc:"their lowest incline, in percent; below 0 where they go downhill"`
	Hard          strict.Tenths   `key:"hard" in:"2..23" doc:"the METs from which effort counts as hard for beginners"`
	HardShare     strict.Integer  `key:"hard-share" in:"0..100" doc:"the percentage of the class that may be that hard for beginners"`
}

// defaultAdvice are the limits of a plan that gives none.
func defaultAdvice() Advice {
	var a Advice
	// The shorter end of the 5 to 10 minutes of the ACSM's Guidelines, as pages that
	// were read report them: testdata/reference/running/safety_screening.csv.
	a.WarmUp.Value = 5 * time.Minute
	a.CoolDown.Value = 5 * time.Minute
	// Common practice, without a source.
	a.SpeedChange = SpeedLimit{Value: 60, Units: units.KmH}
	a.InclineChange.Value = 60
	a.TopSpeed = SpeedLimit{Value: 200, Units: units.KmH}
	a.TopIncline.Value = 150
	// From 8.8 METs on effort is "very hard" in absolute terms (same file, last row);
	// the share is a cautious setting of ours, without a source.
	a.Hard.Value = 88
	a.HardShare.Value = 20
	return a
}

// SpeedLimit is a speed that carries its own unit, km/h or mph, since a change of
// pace is no fixed change of speed.
type SpeedLimit struct {
	Value units.Speed
	Units units.Unit
	Pos   problem.Pos
}

var speedLimitForm = regexp.MustCompile(`^([0-9]{1,2}(?:\.[0-9]*)?) ?(km/h|mph)$`)

// Bounds of a SpeedLimit, from a stroll to what a plan may hold.
var speedLimits = map[units.Unit]units.Range{units.KmH: {Low: 10, High: 400}, units.Mph: {Low: 6, High: 250}}

// Read takes a number with at most one decimal and its unit.
func (s *SpeedLimit) Read(n *yaml.Node, r *strict.Reader) {
	var value units.Speed
	m := speedLimitForm.FindStringSubmatch(n.Value)
	if m != nil {
		tenths, ok := units.ReadTenths(m[1])
		if !ok {
			m = nil
		}
		value = units.Speed(tenths)
	}
	if m == nil || n.Kind != yaml.ScalarNode {
		r.Errorf(n, "a speed with its unit is expected here, like 6 km/h or 4 mph")
		return
	}
	u := units.Unit(m[2])
	if bounds := speedLimits[u]; value < bounds.Low || value > bounds.High {
		r.Errorf(n, "%s %s is outside %s to %s", u.Format(value), u, u.Format(bounds.Low), u.Format(bounds.High))
		return
	}
	*s = SpeedLimit{value, u, strict.PosOf(n)}
}

// Schema describes a SpeedLimit.
func (s *SpeedLimit) Schema() map[string]any {
	return map[string]any{"type": "string", "pattern": `^[0-9]{1,2}(\.[0-9]*)? ?(km/h|mph)$`}
}

// String writes s with its unit.
func (s SpeedLimit) String() string { return s.Units.Format(s.Value) + " " + string(s.Units) }
