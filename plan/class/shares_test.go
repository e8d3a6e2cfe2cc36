package class

import (
	"testing"

	"cuewright/plan/units"
)

// TestShares: a share is of speed in units of pace too, worked out exactly and rounded once, to the machine's step
// where it is dialled in: 95 % of 4:00 is 4:13 as written and 4:15 as dialled at the usual step.
func TestShares(t *testing.T) {
	for _, c := range []struct {
		unit, pace, speed, each string
		set                     int
		options                 Options
		written, dialled        string
	}{
		{"min/km", `"4:00"`, "95 % of threshold", "", 1, Options{}, "4:13", "4:15"},
		{"min/km", `"4:00"`, "95% of threshold", "", 1, Options{Step: 1}, "4:13", "4:13"},
		{"min/km", `["5:00", "4:00"]`, "80 % of threshold", "", 1, Options{}, "6:15–5:00", "6:15–5:00"},
		{"km/h", "[10, 14]", "95 % of threshold", "", 1, Options{}, "9.5–13.3", "9.5–13.3"},
		{"km/h", "[10, 14]", "threshold", "", 1, Options{}, "10–14", "10–14"},
		{"km/h", "[10, 14]", "[90 % of threshold, 95 % of threshold]", "", 1, Options{}, "9–13.3", "9–13.3"},
		{"km/h", "[10, 14]", "90 % of threshold", "+1 %", 3, Options{}, "9.2–12.9", "9.2–12.8"},
		{"km/h", "[10, 14]", "95 % of threshold", "", 1, Options{Level: Upper, Units: units.Mph}, "9.5–13.3", "8.2"},
		{"mph", "8.5", "93.5 % of threshold", "", 1, Options{}, "7.9", "7.9"},
		{"min/mile", `"7:00"`, "105 % of threshold", "", 1, Options{Level: Lower, Units: units.KmH}, "6:40", "14.5"},
		{"min/km", `"4:00"`, `"4:30"`, "5s faster", 3, Options{}, "4:20", "4:20"},
		{"min/km", `"4:00"`, `["5:00", "4:30"]`, "5s slower", 2, Options{Level: Upper}, "5:05–4:35", "4:35"},
		{"km/h", "10", "[8, 9]", "+0.3", 4, Options{}, "8.9–9.9", "8.9–9.9"},
		{"km/h", "10", "[8, 9]", "+0.3", 4, Options{Level: Middle, Step: 5}, "8.9–9.9", "9.5"},
	} {
		text := "class: X\nunits: " + c.unit + "\npaces: {threshold: " + c.pace + "}\nmain:\n  - sets: 4\n    segments: [{speed: " + c.speed + ", for: 60s"
		if c.each != "" {
			text += ", each: {speed: " + c.each + "}"
		}
		class := unfoldFor(t, c.options, text+"}]\n")
		target := class.Segments[c.set-1].Target
		written, dialled := units.Unit(c.unit).FormatRange(target.PlanSpeed), class.Units.FormatRange(target.Speed)
		if written != c.written || dialled != c.dialled {
			t.Errorf("%s, set %d, %+v: %s as written and %s as dialled, want %s and %s", text, c.set, c.options, written, dialled, c.written, c.dialled)
		}
	}
}

// TestRampOfSpeeds: the values lie equally apart at both ends, rounded to what a machine shows.
func TestRampOfSpeeds(t *testing.T) {
	c := unfoldFor(t, Options{}, "class: X\nunits: km/h\nmain:\n  - {for: 4m, ramp: {speed: [[7, 9], [10, 11]], incline: [1, 2], every: 1m}}\n")
	var got string
	for _, s := range c.Segments {
		got += c.Units.FormatRange(s.Target.Speed) + " " + units.FormatTenths(s.Target.Incline) + " " + s.Name() + "; "
	}
	if want := "7–9 1 main, step 1 of 4; 8–9.6 1.5 main, step 2 of 4; 9–10.3 1.5 main, step 3 of 4; 10–11 2 main, step 4 of 4; "; got != want {
		t.Errorf("%s, want %s", got, want)
	}
}

// TestRampOverFeel: a ramp of incline leaves an effort that goes by feel as it is and divides its time all the same; a ramp
// of speed stands in place of the feel.
func TestRampOverFeel(t *testing.T) {
	c := unfoldFor(t, Options{}, `class: X
units: km/h
efforts:
  steady: {feel: 4, incline: 0}
main:
  - {for: 3m, effort: steady, ramp: {incline: [0, 4], every: 1m}}
  - {for: 2m, effort: steady, ramp: {speed: [6, 8], every: 1m}}
`)
	var got string
	for _, s := range c.Segments {
		what := c.Units.FormatRange(s.Target.Speed)
		if s.Target.ByFeel {
			what = "feel " + s.Target.RPE.String()
		}
		got += s.Length.String() + " " + what + " " + units.FormatTenths(s.Target.Incline) + "; "
	}
	if want := "1m0s feel 4 0; 1m0s feel 4 2; 1m0s feel 4 4; 1m0s 6 0; 1m0s 8 0; "; got != want {
		t.Errorf("%s, want %s", got, want)
	}
}

// TestProgressiveOfNestedSets: a progressive class climbs from set to set of the nearest sets, and begins anew in each
// outer set; what stands between two of them goes by theirs.
func TestProgressiveOfNestedSets(t *testing.T) {
	c := unfoldFor(t, Options{Level: Progressive}, `class: X
units: km/h
main:
  - sets: 3
    segments:
      - sets: 3
        segments: [{speed: [10, 14], for: 60s}]
        between: [{speed: [6, 8], for: 60s}]
    between: [{speed: [5, 7], for: 60s}]
`)
	var got string
	for _, s := range c.Segments {
		got += c.Units.FormatRange(s.Target.Speed) + " "
	}
	if want := "10 6 12 8 14 5 10 6 12 8 14 7 10 6 12 8 14 "; got != want {
		t.Errorf("%s, want %s", got, want)
	}
}
