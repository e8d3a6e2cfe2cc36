package class

import (
	"cuewright/plan"
	"cuewright/plan/problem"
	"cuewright/plan/units"
	"encoding/csv"
	"fmt"
	"math/big"
	"os"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// read reads a plan that must be good.
func read(t rapid.TB, text string) *plan.Plan {
	t.Helper()
	p, problems := plan.Read("x.yaml", []byte(text))
	if len(problems) > 0 {
		t.Fatalf("%v in\n%s", problems, text)
	}
	return p
}

// unfoldFor unfolds a plan with a setting that suits it.
func unfoldFor(t rapid.TB, set Options, text string) *Class {
	t.Helper()
	c, problems := set.Unfold(read(t, text))
	if problem.HasErrors(problems) {
		t.Fatal(problems)
	}
	return c
}

// dialledIn writes the target of every segment.
func dialledIn(c *Class) string {
	var out []string
	for _, s := range c.Segments {
		if s.Target.ByFeel {
			out = append(out, "feel "+s.Target.RPE.String())
		} else {
			out = append(out, c.Units.FormatRange(s.Target.Speed))
		}
	}
	return strings.Join(out, " ")
}

// TestLevels has every expected number worked out by hand: the fraction of the way
// is (set-1)/(sets-1), and between n sets (set-1)/(n-2).
func TestLevels(t *testing.T) {
	const kmh = `
class: X
units: km/h
efforts: {easy: {speed: [6, 7]}, work: {speed: [8, 11]}, one: {speed: 9.3}}
warm-up: [{effort: easy, for: 60s}]
main:
  - sets: 4
    segments: [{effort: work, for: 60s}, {effort: one, for: 30s}]
    between: [{effort: easy, for: 60s}]
  - {effort: work, for: 60s}
`
	const pace = `
class: X
units: min/km
main:
  - sets: 6
    segments: [{speed: ["6:32", "5:13"], for: 60s}]
    between: [{speed: "6:32", for: 60s}]
  - {speed: ["6:32", "6:31"], for: 60s}
`
	const feel = `
class: X
units: mph
main:
  - sets: 4
    segments: [{feel: [5, 7], for: 60s}]
    between: [{feel: 2, for: 60s}]
`
	tests := []struct {
		what string
		set  Options
		plan string
		want string
	}{
		{"as written", Options{}, kmh, "6–7 8–11 9.3 6–7 8–11 9.3 6–7 8–11 9.3 6–7 8–11 9.3 8–11"},
		{"lower", Options{Level: Lower}, kmh, "6 8 9.3 6 8 9.3 6 8 9.3 6 8 9.3 8"},
		{"upper", Options{Level: Upper}, kmh, "7 11 9.3 7 11 9.3 7 11 9.3 7 11 9.3 11"},
		{"middle", Options{Level: Middle}, kmh, "6.5 9.5 9.3 6.5 9.5 9.3 6.5 9.5 9.3 6.5 9.5 9.3 9.5"},
		// Outside the sets the middle; between the 4 sets 6, 6.5, 7.
		{"progressive", Options{Level: Progressive}, kmh, "6.5 8 9.3 6 9 9.3 6.5 10 9.3 7 11 9.3 9.5"},
		// 9.5 is halfway between 9 and 10: half up. 9.3 has no step of 1 at all, the nearest is 9.
		{"middle by 1", Options{Level: Middle, Step: 10}, kmh, "7 10 9 7 10 9 7 10 9 7 10 9 10"},
		{"ranges by 1", Options{Step: 10}, kmh, "6–7 8–11 9 6–7 8–11 9 6–7 8–11 9 6–7 8–11 9 8–11"},
		// 6 to 7 km/h is 3.728 to 4.350 mph, 8 to 11 is 4.971 to 6.835: 5.0 is the first step inside.
		{"mph", Options{Units: units.Mph}, kmh, "3.8–4.3 5–6.8 5.8 3.8–4.3 5–6.8 5.8 3.8–4.3 5–6.8 5.8 3.8–4.3 5–6.8 5.8 5–6.8"},
		// 9 and 10 km/h are 5.592 and 6.214 mph, 6.5 is 4.039, 9.5 is 5.903.
		{"progressive in mph", Options{Level: Progressive, Units: units.Mph}, kmh, "4 5 5.8 3.8 5.6 5.8 4 6.2 5.8 4.3 6.8 5.8 5.9"},
		// 11 km/h is 5:27.27 for a kilometre, 8 is 7:30, 9.3 is 6:27.1 and has no step of 5 s.
		{"upper in min/km", Options{Level: Upper, Units: units.MinKm}, kmh, "8:35 5:30 6:25 8:35 5:30 6:25 8:35 5:30 6:25 8:35 5:30 6:25 5:30"},
		{"paces as written", Options{}, pace, "6:32–5:13 6:32 6:32–5:13 6:32 6:32–5:13 6:32 6:32–5:13 6:32 6:32–5:13 6:32 6:32–5:13 6:32–6:31"},
		// 392 to 313 s by a fifth: 392, 376.2, 360.4, 344.6, 328.8, 313; inside by steps of
		// five are 390 to 315. 391.5, the middle of what holds no step, is nearest to 390.
		{"progressive paces", Options{Level: Progressive}, pace, "6:30 6:30 6:15 6:30 6:00 6:30 5:45 6:30 5:30 6:30 5:15 6:30"},
		{"progressive paces by 1 s", Options{Level: Progressive, Step: 1}, pace, "6:32 6:32 6:16 6:32 6:00 6:32 5:45 6:32 5:29 6:32 5:13 6:32"},
		// 5, 5 2/3, 6 1/3 and 7 in halves.
		{"progressive feel", Options{Level: Progressive}, feel, "feel 5 feel 2 feel 5.5 feel 2 feel 6.5 feel 2 feel 7"},
		{"middle feel", Options{Level: Middle, Units: units.KmH}, feel, "feel 6 feel 2 feel 6 feel 2 feel 6 feel 2 feel 6"},
	}
	for _, test := range tests {
		if got := dialledIn(unfoldFor(t, test.set, test.plan)); got != test.want {
			t.Errorf("%s:\n%s, want\n%s", test.what, got, test.want)
		}
	}
}

// TestFewSets: one set, or one stretch between two, takes the middle.
func TestFewSets(t *testing.T) {
	set := Options{Level: Progressive}
	for text, want := range map[string]string{
		"{sets: 1, segments: [{speed: [8, 9], for: 60s}]}":                                                "8.5",
		"{sets: 2, segments: [{speed: [8, 9], for: 60s}], between: [{speed: [4, 5], for: 60s}]}":          "8 4.5 9",
		"{sets: 3, segments: [{speed: [8, 9], for: 60s}], between: [{speed: [4, 5], for: 60s}]}":          "8 4 8.5 5 9",
		"{sets: 2, segments: [{speed: [8, 8.1], for: 60s}, {speed: 5, for: 60s}, {speed: 9, for: 1m1s}]}": "8 5 9 8.1 5 9",
	} {
		if got := dialledIn(unfoldFor(t, set, "class: X\nunits: km/h\nmain: ["+text+"]\n")); got != want {
			t.Errorf("%s: %s, want %s", text, got, want)
		}
	}
}

// inRoom is a speed of a plan in the unit of the room by the definition of the units,
// as a fraction: metres an hour, then the room's number.
func inRoom(from, to units.Unit, x *big.Rat) *big.Rat {
	metres := map[units.Unit]*big.Rat{units.KmH: big.NewRat(1000, 1), units.MinKm: big.NewRat(1000, 1), units.Mph: big.NewRat(1609344, 1000), units.MinMile: big.NewRat(1609344, 1000)}
	hourly := new(big.Rat).Mul(metres[from], new(big.Rat).Quo(x, big.NewRat(10, 1)))
	if from.Pace() {
		hourly = new(big.Rat).Mul(metres[from], new(big.Rat).Quo(big.NewRat(3600, 1), x))
	}
	if to.Pace() {
		return new(big.Rat).Quo(new(big.Rat).Mul(metres[to], big.NewRat(3600, 1)), hourly)
	}
	return new(big.Rat).Mul(new(big.Rat).Quo(hourly, metres[to]), big.NewRat(10, 1))
}

func exactly(s units.Speed) *big.Rat { return big.NewRat(int64(s), 1) }

// TestOptionsProperties holds what is promised of every number, on random plans,
// levels, units and steps.
func TestOptionsProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := units.Unit(rapid.SampledFrom(units.Names()).Draw(t, "plan's units"))
		text := fmt.Sprintf("class: X\nunits: %s\nmain:\n", u)
		speed := func(label string) string {
			low, high := rapid.IntRange(40, 150).Draw(t, label), rapid.IntRange(40, 150).Draw(t, label)
			if low > high {
				low, high = high, low
			}
			if u.Pace() {
				return fmt.Sprintf("[%q, %q]", u.Format(units.Speed(high*6)), u.Format(units.Speed(low*6+rapid.IntRange(0, 5).Draw(t, "s")%(high-low+1))))
			}
			return fmt.Sprintf("[%s, %s]", u.Format(units.Speed(low)), u.Format(units.Speed(high)))
		}
		for range rapid.IntRange(1, 3).Draw(t, "blocks") {
			sets := rapid.IntRange(1, 9).Draw(t, "sets")
			text += fmt.Sprintf("  - sets: %d\n    segments: [{speed: %s, for: 30s}, {feel: [%d, %d.5], for: 30s}]\n", sets, speed("work"),
				rapid.IntRange(0, 4).Draw(t, "easy"), rapid.IntRange(4, 9).Draw(t, "hard"))
			if sets > 1 {
				text += fmt.Sprintf("    between: [{speed: %s, for: 30s}]\n", speed("rest"))
			}
		}
		p := read(t, text)
		set := Options{Level: rapid.SampledFrom(append(slices.Clone(Levels), NoLevel)).Draw(t, "level"),
			Units: units.Unit(rapid.SampledFrom(append(units.Names(), "")).Draw(t, "units"))}
		step := units.Speed(rapid.IntRange(0, 10).Draw(t, "step"))
		set.Step = step
		c, problems := set.Unfold(p)
		if problem.HasErrors(problems) {
			t.Fatal(problems)
		}
		written, _ := Unfold(p)
		if step == 0 {
			step = c.Units.UsualStep()
		}
		last := map[string]*Segment{}
		for i := range c.Segments {
			s, w := &c.Segments[i], written.Segments[i].Target
			if s.Target.PlanSpeed != w.Speed {
				t.Fatalf("the plan says %v, the target keeps %v", w.Speed, s.Target.PlanSpeed)
			}
			if set.Level != NoLevel && !(s.Target.Speed.Single() && s.Target.RPE.Single()) {
				t.Fatalf("level %s calls %v", set.Level, s.Target)
			}
			if s.Target.ByFeel {
				if f := s.Target.RPE; f.Low < w.RPE.Low || f.High > w.RPE.High || f.Low%5 != 0 {
					t.Fatalf("feel %v becomes %v", w.RPE, f)
				}
			} else if set != (Options{Units: set.Units}) || c.Units != u {
				// Half a step at most beyond the plan's range, and on a step.
				low, high := inRoom(u, c.Units, exactly(w.Speed.Low)), inRoom(u, c.Units, exactly(w.Speed.High))
				if low.Cmp(high) > 0 {
					low, high = high, low
				}
				inside := false // whether a step lies in the range
				for n := int64(step); exactly(units.Speed(n)).Cmp(high) <= 0; n += int64(step) {
					inside = inside || exactly(units.Speed(n)).Cmp(low) >= 0
				}
				half := big.NewRat(int64(step), 2)
				if inside {
					half = new(big.Rat)
				}
				for _, n := range []units.Speed{s.Target.Speed.Low, s.Target.Speed.High} {
					if n%step != 0 || exactly(n).Cmp(new(big.Rat).Sub(low, half)) < 0 || exactly(n).Cmp(new(big.Rat).Add(high, half)) > 0 {
						t.Fatalf("%s %s becomes %s %s by steps of %s", u.FormatRange(w.Speed), u, c.Units.Format(n), c.Units, c.Units.FormatStep(step))
					}
				}
			}
			// Never falling from one set to the next.
			key := fmt.Sprint(s.Pos)
			if before := last[key]; before != nil && set.Level == Progressive {
				if c.Units.Faster(s.Target.Speed.Low, before.Target.Speed.Low) < 0 || s.Target.RPE.Low < before.Target.RPE.Low {
					t.Fatalf("set %d falls from %v to %v", s.Set, before.Target, s.Target)
				}
			}
			last[key] = s
		}
	})
}

// TestOwnPlanStands: without a level or a step the plan's own numbers stand in its
// own unit, even those between the steps.
func TestOwnPlanStands(t *testing.T) {
	c := unfoldFor(t, Options{Units: units.MinKm}, "class: X\nunits: min/km\nmain: [{speed: [\"6:32\", \"6:31\"], for: 60s}]\n")
	if got := dialledIn(c); got != "6:32–6:31" || c.Step != 0 || c.Title() != "X" {
		t.Error(got, c.Step, c.Title())
	}
	c = unfoldFor(t, Options{Units: units.Mph, Level: Progressive}, "class: X\nunits: km/h\nmain: [{speed: 8, for: 60s}]\n")
	if c.Title() != "X, progressive, mph" || c.Step != 1 {
		t.Error(c.Title(), c.Step)
	}
}

// TestCannot: what a setting asks for in vain is an error at its segment, once.
func TestCannot(t *testing.T) {
	p := read(t, `
class: X
units: km/h
main:
  - {sets: 3, segments: [{speed: 0.5, for: 60s, cadence: 100}]}
  - {speed: 8, for: 60s, cadence: 160}
`)
	faster, err := ReadCadence("+40%")
	if err != nil {
		t.Fatal(err)
	}
	_, problems := Options{Units: units.MinKm, Cadence: faster}.Unfold(p)
	var got []string
	for _, x := range problems {
		if x.Severity == problem.Error {
			got = append(got, x.String())
		}
	}
	want := []string{
		"x.yaml:5:26: error: setting: 0.5 km/h is 120:00 min/km, which is no pace that can be called: it has 100 minutes or more",
		"x.yaml:6:5: error: setting: the cadence of 160 becomes 224, outside 100 to 220 steps a minute",
	}
	if !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	_, problems = Options{Cadence: faster}.Unfold(read(t, "class: X\nunits: km/h\nmain: [{speed: 8, for: 60s}]\n"))
	if !slices.ContainsFunc(problems, func(x problem.Problem) bool { return x.Kind == "setting" && x.Severity == problem.Warning }) {
		t.Error("nothing is said about a cadence that changes nothing")
	}
}

// TestCadenceChange holds changes of step rate against worked vectors.
func TestCadenceChange(t *testing.T) {
	f, err := os.Open("../../testdata/reference/running/step_rate_percent_vectors.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil || len(rows) < 5 {
		t.Fatal(len(rows), err)
	}
	for _, cells := range rows[1:] {
		row := map[string]string{}
		for i, name := range rows[0] {
			row[name] = cells[i]
		}
		change := row["change_pct"] + "%"
		if change[0] != '-' {
			change = "+" + change
		}
		c, err := ReadCadence(change)
		if err != nil {
			t.Fatal(err)
		}
		base, ok := units.ReadTenths(row["base_spm"])
		result, exact := new(big.Rat).SetString(row["result_exact"])
		if !ok || !exact {
			t.Fatal(row)
		}
		// Half up: the floor of ten times the result and a half.
		result.Add(result.Mul(result, big.NewRat(10, 1)), big.NewRat(1, 2))
		want := new(big.Int).Quo(result.Num(), result.Denom()).Int64()
		if got, ok := c.apply(base); got != want || !ok {
			t.Errorf("%s %s: %d tenths, want %d", row["base_spm"], change, got, want)
		}
	}
	own, err := ReadCadence("176.5")
	if got, ok := own.apply(1720); err != nil || got != 1765 || !ok {
		t.Error(got, ok, err)
	}
	if got, _ := own.apply(0); got != 0 {
		t.Errorf("a segment without a cadence gets %d", got)
	}
	for _, bad := range []string{"", "99", "220.1", "+51%", "-50.5%", "5%", "+5", "fast", "172.25", "+1.25%"} {
		if _, err := ReadCadence(bad); err == nil {
			t.Errorf("%q is taken for a step rate", bad)
		}
	}
}
