package units

import (
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// TestRate: units convert exactly, so what goes through another form comes back.
func TestRate(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := Unit(rapid.SampledFrom(Names()).Draw(t, "units"))
		high := 400
		if u.Pace() {
			high = 3599
		}
		s := Speed(rapid.IntRange(3, high).Draw(t, "speed"))
		r := RateOf(u, s)
		if got := r.In(u); got != s {
			t.Fatalf("%v %s comes back as %v", s, u, got)
		}
		float := map[Unit]float64{KmH: float64(s) * 100 / 60, Mph: float64(s) * 160.9344 / 60, MinKm: 60_000 / float64(s), MinMile: 60 * 1609.344 / float64(s)}[u]
		if math.Abs(r.MetresPerMinute()-float) > 1e-9*float {
			t.Fatalf("%v %s is %v m/min here, %v by the definition of the unit", s, u, r.MetresPerMinute(), float)
		}
		// A mile of 1609.344 m, whichever way.
		if u == Mph {
			if got := r.Distance(time.Hour); got != Millimetres((int64(s)*1_609_344+5)/10) {
				t.Fatalf("%v mph goes %d mm in an hour", s, got)
			}
		}
		other := RateOf(u, Speed(rapid.IntRange(3, high).Draw(t, "other")))
		if (r.Compare(other) > 0) != (other.Compare(r) < 0) || r.Compare(r) != 0 {
			t.Fatal("comparing two speeds depends on their order")
		}
		apart := math.Abs(r.MetresPerMinute() - other.MetresPerMinute())
		if by := RateOf(KmH, 60); math.Abs(apart-100) > 1e-6 && r.Differs(other, by) != (apart > 100) {
			t.Fatalf("%v and %v m/min are taken to differ by more than 100: %v", r.MetresPerMinute(), other.MetresPerMinute(), r.Differs(other, by))
		}
	})
}
