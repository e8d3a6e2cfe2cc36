package effort

import (
	"math"
	"testing"
	"time"
)

// TestRunningByGradient: the polynomial against what the paper's abstract gives for its subjects (from memory: 3.40 ± 0.24
// J/kg/m on the level, 1.73 ± 0.36 at -20 %, 18.93 ± 1.74 at 45 %), and against a table that was worked out apart
// from this code, before it was written: mL/kg/min at 8, 10 and 12 km/h.
func TestRunningByGradient(t *testing.T) {
	for grade, x := range map[float64][2]float64{0: {3.40, 0.24}, -0.20: {1.73, 0.36}, 0.45: {18.93, 1.74}} {
		cost := (RunningByGradient(100, grade) - Rest) / 100 * 20.9
		near(t, "cost", cost, x[0], x[1])
	}
	for _, row := range []struct{ grade, kmh, want float64 }{
		{0, 8, 26.5}, {0, 10, 32.2}, {0, 12, 37.9}, {0.05, 8, 33.4}, {0.05, 10, 40.9}, {0.05, 12, 48.3},
		{0.10, 8, 41.6}, {0.10, 10, 51.1}, {0.10, 12, 60.6}, {0.15, 8, 50.8}, {0.15, 10, 62.6}, {0.15, 12, 74.5},
	} {
		near(t, "uptake", RunningByGradient(row.kmh*1000/60, row.grade), row.want, 0.051)
	}
}

// TestSpread: both models over what is run, the second alone downhill, and nothing of what is walked, felt or between.
func TestSpread(t *testing.T) {
	c := read(t, "class: X\nunits: km/h\nmain:\n  - {speed: 5, incline: 0, for: 5m}\n  - {speed: [10, 12], incline: 0, for: 4m}\n  - {speed: [10, 12], incline: 10, for: 4m}\n"+
		"  - {speed: 12, incline: -5, for: 2m}\n  - {speed: [7, 12], incline: 0, for: 2m}\n  - {feel: 6, incline: 0, for: 2m}\n")
	got := SpreadOf(c)
	if got.Length != 8*time.Minute || got.Downhill != 2*time.Minute {
		t.Fatalf("%+v", got)
	}
	near(t, "first, slow", got.First.Low, (36.833+51.833)/2/Rest, 0.01)
	near(t, "second, slow", got.Second.Low, (32.2+51.1)/2/Rest, 0.02)
	near(t, "second, fast", got.Second.High, (37.9+60.6)/2/Rest, 0.02)
	if downhill := got.DownhillMETs; downhill.Low != downhill.High || math.Abs(downhill.Low-(200*2.746/20.9+3.5)/3.5) > 0.02 {
		t.Errorf("downhill %+v", downhill)
	}
}
