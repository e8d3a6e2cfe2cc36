package faults

import (
	"math"
	"math/rand/v2"
	"testing"
)

// TestCoarse judges good recordings kept in 8 bits, whose rounded tops are flat
// and equal without being clipped.
func TestCoarse(t *testing.T) {
	if testing.Short() {
		t.Skip("measures, which the race detector makes ten times as slow")
	}
	for seed := range uint64(40) {
		clip, word := record(rand.New(rand.NewPCG(seed, 8)), "")
		if len(clipped(clip)) > 0 {
			continue // the rate of false alarms is TestMatrix's matter
		}
		var peak float64
		for _, v := range clip.Samples {
			peak = max(peak, math.Abs(float64(v)))
		}
		for i, v := range clip.Samples {
			clip.Samples[i] = float32(math.Round(float64(v)/peak*100) / 128)
		}
		if found := clipped(clip); len(found) > 0 {
			t.Errorf("seed %d, %s at %d Hz: %+v", seed, word, clip.Rate, found)
		}
	}
}
