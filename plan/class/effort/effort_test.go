package effort

import (
	"fmt"
	"math"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"cuewright/plan"
	"cuewright/plan/class"
	"cuewright/plan/units"
	"cuewright/plan/value"
)

func unfold(t *testing.T, file string) *class.Class {
	t.Helper()
	p, problems, err := plan.Load(file)
	if err != nil || len(problems) > 0 {
		t.Fatal(problems, err)
	}
	c, _ := class.Unfold(p)
	return c
}

func read(t *testing.T, text string) *class.Class {
	t.Helper()
	p, problems := plan.Read("x.yaml", []byte(text))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	c, _ := class.Unfold(p)
	return c
}

// TestGaps walks along the speeds at which an equation begins or ends.
func TestGaps(t *testing.T) {
	const u = units.KmH
	tests := []struct {
		speed   units.Speed
		incline int64
		gait    value.Gait
		want    Gap
		vo2     float64 // by hand
	}{
		{0, 0, "", gapByFeel, 0},
		{29, 0, "", gapSlow, 0}, // 48.3 m/min
		{30, 0, "", "", 8.5},    // 50 m/min: 5 + 3.5
		{60, 0, "", "", 13.5},
		{60, 0, "walk", "", 13.5},
		{60, 0, "run", "", 23.5},
		{61, 0, "", gapBetween, 0},
		{61, 0, "walk", gapFastWalk, 0},
		{60, 50, "", "", 22.5}, // 10 + 1.8 x 100 x 0.05 + 3.5
		{47, 0, "run", gapSlowRun, 0},
		{48, 0, "run", "", 19.5}, // 80 m/min
		{79, 0, "", gapBetween, 0},
		{80, 0, "", "", 2*80./6 + 3.5}, // 133.3 m/min: what a machine marked in km/h shows for the 5 mph of the source
		{80, 0, "run", "", 2*80./6 + 3.5},
		{81, 0, "", "", 30.5},
		{120, 50, "", "", 52.5}, // 40 + 0.9 x 200 x 0.05 + 3.5
		{120, 0, "walk", gapFastWalk, 0},
		{120, -5, "", gapDownhill, 0},
	}
	for _, x := range tests {
		vo2, gap := VO2(units.RateOf(u, x.speed), class.Target{Incline: x.incline, Gait: x.gait})
		if gap != x.want || math.Abs(vo2-x.vo2) > 1e-9 {
			t.Errorf("%s km/h, %s, %d: %.3f, gap %q; want %.3f, %q", u.Format(x.speed), x.gait, x.incline, vo2, gap, x.vo2, x.want)
		}
	}
	if len(Gaps) != 7 {
		t.Error("a gap is not in the list of them")
	}
}

// TestMonotone: in one equation more speed or more grade never asks for less,
// and a longer or faster segment never goes less far.
func TestMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		speed := rapid.Custom(func(t *rapid.T) units.Speed { return units.Speed(rapid.IntRange(3, 400).Draw(t, "speed")) })
		incline := rapid.Int64Range(0, 400)
		gait := rapid.SampledFrom([]value.Gait{value.Walk, value.Run, ""}).Draw(t, "gait")
		a, b := speed.Draw(t, "a"), speed.Draw(t, "b")
		i, j := incline.Draw(t, "i"), incline.Draw(t, "j")
		a, b = min(a, b), max(a, b)
		i, j = min(i, j), max(i, j)
		u := rapid.SampledFrom([]units.Unit{units.KmH, units.Mph}).Draw(t, "units")
		slow, gapSlow := VO2(units.RateOf(u, a), class.Target{Incline: i, Gait: gait})
		fast, gapFast := VO2(units.RateOf(u, b), class.Target{Incline: j, Gait: gait})
		// Without a gait the two ends may be walked and run: at a steep grade walking
		// fast asks for more than running slowly does. One equation is compared.
		one := gait != "" || units.RateOf(u, b).MetresPerMinute() <= walkTo || units.RateOf(u, a).MetresPerMinute() >= runFrom
		if gapSlow == "" && gapFast == "" && one && slow > fast {
			t.Fatalf("%v at %v asks for %.2f, %v at %v for %.2f", a, i, slow, b, j, fast)
		}
		d := time.Duration(rapid.Int64Range(3000, 43_200_000).Draw(t, "ms")) * time.Millisecond
		x, y := units.RateOf(u, a).Distance(d), units.RateOf(u, b).Distance(d)
		if x > y || Climb(x, i) > Climb(y, j) || Climb(x, i) > x || units.RateOf(u, a).Distance(d/2/time.Millisecond*time.Millisecond) > x {
			t.Fatalf("%v goes %d mm in %v, %v goes %d", a, x, d, b, y)
		}
	})
}

// TestMassRoundTrip: a mass is written as it was given.
func TestMassRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		unit := rapid.SampledFrom([]MassUnit{Kilogram, Pound}).Draw(t, "mass unit")
		text := units.FormatTenths(int64(rapid.IntRange(450, 3000).Draw(t, "mass"))) + " " + string(unit)
		m, err := ParseMass(text)
		if err != nil || m.Format(unit) != text || m.String() != text {
			t.Fatalf("%s comes back as %s, %v", text, m.Format(unit), err)
		}
	})
}

func TestMass(t *testing.T) {
	for text, want := range map[string]Mass{
		"70kg": 70_000_000_000, "70 kg": 70_000_000_000, "70.5kg": 70_500_000_000, "154lb": 69_853_224_980, "154.5 lb": 70_080_021_165,
		"20kg": 20_000_000_000, "300kg": 300_000_000_000,
	} {
		if m, err := ParseMass(text); err != nil || m != want {
			t.Errorf("%s: %d µg, %v; want %d", text, m, err, want)
		}
	}
	for _, text := range []string{"", "70", "kg", "70 st", "-70kg", "70.55kg", "19.9kg", "301kg", "44lb", "7e1kg", "99999999999999999999kg", "70kg "} {
		if m, err := ParseMass(text); err == nil || !strings.Contains(err.Error(), "kg") {
			t.Errorf("%q is read as %d, error %v", text, m, err)
		}
	}
}

// TestOf works one segment out by hand: 12 km/h at 5 % for 90 s goes 300 m and
// climbs 300 x 0.05/sqrt(1.0025) = 14.981 m; 52.5 mL/kg/min are 15 METs, and for
// 70 kg 52.5 x 70/1000 x 5 x 1.5 = 27.5625 kcal.
func TestOf(t *testing.T) {
	c := read(t, "class: X\nunits: km/h\nmain: [{speed: [6, 12], incline: 5, for: 90s}, {speed: [7, 12], incline: 5, for: 90s}]\n")
	e := Of(units.KmH, &c.Segments[0], 70e9)
	if e.Distance != (Ends[units.Millimetres]{150_000, 300_000}) || e.Climb != (Ends[units.Millimetres]{7491, 14981}) || !e.Known() {
		t.Errorf("%+v", e)
	}
	near(t, "VO2", e.VO2.High, 52.5, 1e-9)
	near(t, "METs", e.METs().High, 15, 1e-9)
	near(t, "METs at the slow end", e.METs().Low, 22.5/3.5, 1e-9)
	near(t, "kcal", e.Kcal.High, 27.5625, 1e-9)
	// 7 km/h are 116.67 m/min: walked 11.667 + 1.8 x 116.67 x 0.05 + 3.5 = 25.667, run 32.083; the range begins at the lower.
	e = Of(units.KmH, &c.Segments[1], 0)
	near(t, "VO2 between walking and running", e.VO2.Low, 25.6667, 1e-3)
	near(t, "VO2 at the fast end", e.VO2.High, 52.5, 1e-9)
	if !e.Known() || !e.Wide || e.Kcal.High != 0 {
		t.Errorf("between: %+v", e)
	}
}

// TestMphAndKmH: 8.0 km/h and 5 mph, which tables print beside each other, have an estimate alike, to what their speeds
// differ by (133.3 and 134.1 m/min).
func TestMphAndKmH(t *testing.T) {
	kmh, gap := VO2(units.RateOf(units.KmH, 80), class.Target{})
	mph, other := VO2(units.RateOf(units.Mph, 50), class.Target{})
	if gap != "" || other != "" || math.Abs(kmh-mph) > 0.2 {
		t.Errorf("%.2f %q and %.2f %q", kmh, gap, mph, other)
	}
}

// TestWide: between walking and running an estimate reaches from the one equation to the other, wherever a range lies.
func TestWide(t *testing.T) {
	for speed := units.Speed(61); speed < 80; speed++ {
		for _, incline := range []int64{0, 10, 50, 100, 150} {
			r, target := units.RateOf(units.KmH, speed), class.Target{Incline: incline}
			low, high, wide, gap := VO2Range(r, target)
			walking, running := Walking(r.MetresPerMinute(), float64(incline)/1000), Running(r.MetresPerMinute(), float64(incline)/1000)
			if !wide || gap != "" || low != min(walking, running) || high != max(walking, running) {
				t.Errorf("%d at %d: %v to %v, wide %v, gap %q", speed, incline, low, high, wide, gap)
			}
		}
	}
}

// TestTotal: the sum speaks of the time that it is of.
func TestTotal(t *testing.T) {
	c := read(t, `class: X
units: km/h
main:
  - {speed: 6, for: 6m}
  - {speed: 7, for: 10m}
  - {speed: 12, for: 4m}
`)
	c.Segments = append(c.Segments, class.Segment{Length: 5 * time.Minute}) // a target without a speed
	got := Total(c, 70e9)
	if got.Length != 25*time.Minute || got.Measured != 20*time.Minute || got.Estimated != 20*time.Minute ||
		got.Wide != 10*time.Minute || got.Gaps[gapByFeel] != 5*time.Minute || len(got.Gaps) != 1 {
		t.Errorf("%+v", got)
	}
	// 600 m, 10/6 x 700 m rounded to the millimetre, 800 m.
	if want := units.Millimetres(600_000 + 1_166_667 + 800_000); got.Distance != (Ends[units.Millimetres]{want, want}) {
		t.Errorf("distance %v, want %d", got.Distance, want)
	}
	// 7 km/h: 15.1667 walked, 26.8333 run.
	walked, run := 13.5*6+(700/60.+3.5)*10+43.5*4, 13.5*6+(2*700/60.+3.5)*10+43.5*4
	near(t, "VO2", got.VO2.High, run/20, 1e-9)
	near(t, "METs", got.METs().Low, walked/20/3.5, 1e-9)
	near(t, "peak", got.Peak, 43.5/3.5, 1e-9)
	near(t, "kcal", got.Kcal.Low, walked*0.07*5, 1e-9)
}

// TestBruce puts the estimates for the stages of the Bruce protocol next to the
// METs published for them (testdata/reference/running/bruce_mets.csv).
//
//   - Stage 1 is slower than the walking equation was made for: no estimate; the
//     equation itself would give the published value.
//   - Stage 4, 4.2 mph at 16 %, may be walked or run, so the estimate reaches from one
//     equation to the other, unless the plan says which. The published 12.9 lies between
//     the two: 13.5 walked, 12.1 run.
//   - Stages 2, 3, 5, 6 and 7 agree within 0.21 MET: walked up to 3, run from 5 on,
//     which is how the published values were evidently made as well (our inference).
func TestBruce(t *testing.T) {
	c := unfold(t, "../../../testdata/plans/good/bruce.yaml")
	rows := table(t, "bruce_mets", len(c.Segments))
	for i := range c.Segments {
		s, r := &c.Segments[i], rows[i]
		published, _ := r.num(t, "METs")
		mph, _ := r.num(t, "mph")
		grade, _ := r.num(t, "grade_pct")
		if s.Target.Speed.High != units.Speed(math.Round(mph*10)) || s.Target.Incline != int64(grade*10) {
			t.Fatalf("stage %d is not the one of the table", i+1)
		}
		e := Of(units.Mph, s, 0)
		speed := mph * mile / 60
		switch i + 1 {
		case 1:
			if e.Gap != gapSlow {
				t.Errorf("stage 1: gap %q", e.Gap)
			}
			near(t, "stage 1, outside its range", Walking(speed, grade/100)/Rest, published, 0.1)
		case 4:
			if !e.Wide || e.METs().Low > published || e.METs().High < published {
				t.Errorf("stage 4: %+v does not hold the published %.1f METs", e, published)
			}
			walk, run := Walking(speed, grade/100)/Rest, Running(speed, grade/100)/Rest
			if run > published || walk < published {
				t.Errorf("stage 4: %.1f METs run, %.1f walked, published %.1f", run, walk, published)
			}
			s.Target.Gait = "run"
			e = Of(units.Mph, s, 0)
			near(t, "stage 4, run", e.METs().High, 12.07, 0.005)
		default:
			if !e.Known() {
				t.Errorf("stage %d: %s", i+1, e.Gap)
			}
			near(t, fmt.Sprintf("stage %d", i+1), e.METs().High, published, 0.21)
		}
	}
}

// TestProtocols: the other protocols have no published METs to compare with (the
// papers go by heart rate or by share of VO2max), and invented speeds. What can be
// said without a source: work asks for more than rest does, all of it lies between
// 2 METs, a slow walk, and 23, the hardest line of the compendium of 2011, and the
// class goes as far as the mean of its speeds.
func TestProtocols(t *testing.T) {
	files, _ := filepath.Glob("../../../testdata/plans/good/*.yaml")
	if len(files) < 6 {
		t.Fatal(files)
	}
	for _, file := range files {
		c := unfold(t, file)
		total := Total(c, 70e9)
		gaps := time.Duration(0)
		for _, d := range total.Gaps {
			gaps += d
		}
		if total.Estimated+gaps != c.Length || total.Length != c.Length || total.Estimated == 0 {
			t.Errorf("%s: %v estimated, gaps %v, length %v", file, total.Estimated, total.Gaps, c.Length)
		}
		if m := total.METs(); m.Low < 2 || m.Low > m.High || m.High > total.Peak || total.Peak > 23 {
			t.Errorf("%s: %.1f to %.1f METs, %.1f at most", file, m.Low, m.High, total.Peak)
		}
		var belt float64
		for _, s := range c.Segments {
			if s.Target.ByFeel {
				continue
			}
			belt += units.RateOf(c.Units, s.Target.Speed.High).MetresPerMinute() * s.Length.Minutes()
		}
		near(t, file+" metres", float64(total.Distance.High)/1000, belt, 0.05)
	}
	// The work of the four by four: 9-12 km/h at 5 %, with 0.9 x 150 x 0.05 and so on.
	c := unfold(t, "../../../testdata/plans/good/helgerud-4x4.yaml")
	work := Of(units.KmH, &c.Segments[1], 70e9)
	near(t, "4x4, slow end", work.VO2.Low, 30+6.75+3.5, 1e-9)
	near(t, "4x4, fast end", work.VO2.High, 40+9+3.5, 1e-9)
}
