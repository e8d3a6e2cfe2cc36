package loudness

import (
	"math"
	"math/rand/v2"
	"testing"
)

// TestOvers: every point of the four phases, worked out one by one, that is over
// the limit is told at the samples beside it, and no other.
func TestOvers(t *testing.T) {
	phases := constants(t).Peak.Phases
	rng := rand.New(rand.NewPCG(9, 9))
	for range 50 {
		x := make([]float32, 1+rng.IntN(700))
		for i := range x {
			if rng.IntN(30) < 2 { // quiet stretches between, which are skipped
				x[i] = float32(rng.NormFloat64())
			}
		}
		const limit = 0.9
		got, want := make([]float64, len(x)), make([]float64, len(x))
		Overs(x, limit, func(i int, peak float32) { got[i] = max(got[i], float64(peak)) })
		for i, v := range x {
			want[i] = max(want[i], math.Abs(float64(v)))
			for p := 0; p < 4 && i >= history; p++ {
				sum := 0.0
				for k, tap := range phases[p] {
					sum += float64(tap) * float64(x[i-k])
				}
				for _, beside := range []int{i - 6, i - 5} {
					want[beside] = max(want[beside], math.Abs(sum))
				}
			}
		}
		for i := range x {
			if want[i] <= limit {
				want[i] = 0
			}
			if math.Abs(got[i]-want[i]) > 1e-5 && math.Abs(max(got[i], want[i])-limit) > 1e-5 {
				t.Fatalf("at %d of %d the peak is %v, want %v", i, len(x), got[i], want[i])
			}
		}
	}
}
