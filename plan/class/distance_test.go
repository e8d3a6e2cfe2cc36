package class

import (
	"fmt"
	"math/big"
	"testing"
	"time"

	"pgregory.net/rapid"

	"cuewright/plan"
	"cuewright/plan/units"
)

// TestDistances: a distance lasts the fewest whole seconds in which the slow end of the speed as written runs it, by
// fractions of its own; the same at every level, step and unit.
func TestDistances(t *testing.T) {
	lengths := map[string]*big.Rat{"metres": big.NewRat(1, 1000), "meters": big.NewRat(1, 1000), "km": big.NewRat(1, 1), "mi": big.NewRat(1609344, 1000000)}
	property := func(t *rapid.T) {
		u := units.Unit(rapid.SampledFrom(units.Names()).Draw(t, "unit"))
		low := rapid.IntRange(40, 140).Draw(t, "low")
		high := low + rapid.IntRange(0, 14).Draw(t, "wider")
		speed := fmt.Sprintf("[%d.%d, %d.%d]", low/10, low%10, high/10, high%10)
		perHour := big.NewRat(int64(low), 10) // kilometres or miles
		if u.Pace() {
			slow, fast := 36000/low, 36000/high
			speed = fmt.Sprintf(`["%d:%02d", "%d:%02d"]`, slow/60, slow%60, fast/60, fast%60)
			perHour = big.NewRat(3600, int64(slow))
		}
		if u == units.Mph || u == units.MinMile {
			perHour.Mul(perHour, lengths["mi"])
			if high > 150 {
				return
			}
		}
		unit := rapid.SampledFrom([]string{"metres", "meters", "km", "mi"}).Draw(t, "distance in")
		number := fmt.Sprint(rapid.IntRange(100, 3000).Draw(t, "distance"))
		if unit == "km" || unit == "mi" {
			number = fmt.Sprintf("%.2f", rapid.Float64Range(0.1, 3).Draw(t, "distance"))
		}
		n, _ := new(big.Rat).SetString(number)
		need := new(big.Rat).Quo(n.Mul(n, lengths[unit]), perHour)
		need.Mul(need, big.NewRat(3600, 1))
		text := fmt.Sprintf("class: X\nunits: %s\nefforts: {push: {speed: %s}}\nmain:\n  - {effort: push, for: %s %s}\n", u, speed, number, unit)
		p, problems := plan.Read("x.yaml", []byte(text))
		if len(problems) > 0 {
			t.Fatal(text, problems)
		}
		want := time.Duration(-1)
		for _, level := range append([]Level{NoLevel}, Levels...) {
			for _, to := range units.Names() {
				c, _ := Options{Level: level, Units: units.Unit(to)}.Unfold(p)
				got := c.Segments[0].Length
				if want < 0 {
					want = got
				}
				if got != want || got%time.Second != 0 || c.Segments[0].Written.Distance == 0 {
					t.Fatalf("%s%s in %s lasts %v, want %v", text, level, to, got, want)
				}
			}
		}
		seconds := big.NewRat(int64(want/time.Second), 1)
		before := new(big.Rat).Sub(seconds, big.NewRat(1, 1))
		// A distance in miles is held in whole millimetres: a second may hang on half of one.
		near := big.NewRat(1, 100)
		if new(big.Rat).Add(seconds, near).Cmp(need) < 0 || new(big.Rat).Sub(before, near).Cmp(need) >= 0 {
			t.Fatalf("%slasts %v, the slow end needs %s s", text, want, need.FloatString(4))
		}
	}
	for range 2 { // 200 of them
		rapid.Check(t, property)
	}
}

// TestRemainder takes what the length leaves, whatever stands before and behind it.
func TestRemainder(t *testing.T) {
	c := unfoldFor(t, Options{}, "class: X\nunits: km/h\nlength: 20m\nwarm-up: [{speed: 7, for: remainder}]\nmain:\n  - {sets: 3, segments: [{speed: 12, for: 400 metres}, {speed: 7, for: 90s}]}\n")
	if got := c.Segments[0].Length; c.Length != 20*time.Minute || got != 20*time.Minute-3*(2*time.Minute+90*time.Second) {
		t.Errorf("%v of %v", got, c.Length)
	}
}
