package mix

import (
	"math"
	"testing"

	"cuewright/audio"
)

// TestDuck: down before the first word, through short pauses, up after the last.
func TestDuck(t *testing.T) {
	rate := audio.Rate(1000) // a frame is a millisecond
	d := NewDuck(rate, []Span{{5000, 6000}, {7000, 8000}, {12000, 13000}}, -12)
	db := func(ms int64) float64 { return 20 * math.Log10(d.Gain(ms)) }
	for ms, want := range map[int64]float64{
		0: 0, 4749: 0, 4875: -6, 5000: -12, 5999: -12, 6500: -12, 7500: -12, // the pause of 1 s is bridged
		8399: -12, 8800: -6, 9201: 0, 11000: 0, 12500: -12, 20000: 0,
	} {
		if got := db(ms); math.Abs(got-want) > 0.01 {
			t.Errorf("at %d ms the gain is %.2f dB, want %.2f", ms, got, want)
		}
	}
	for ms := int64(1); ms < 16000; ms++ {
		if step := math.Abs(db(ms) - db(ms-1)); step > 0.1 {
			t.Fatalf("a step of %.2f dB at %d ms", step, ms)
		}
	}
	if g := NewDuck(48000, nil, -12).Gain(48000); g != 1 {
		t.Errorf("without speech the gain is %v", g)
	}
}
