package loudness_test

import (
	"fmt"
	"math"

	"cuewright/audio/loudness"
)

// A sine of 997 Hz at -20 dBFS in two channels reads -20 LUFS (EBU Tech 3341, test 1,
// which has -23 for both).
func ExampleMeter() {
	const rate = 48000
	meter := loudness.NewMeter(rate, 2)
	sine := make([]float32, 10*rate)
	for i := range sine {
		sine[i] = float32(0.1 * math.Sin(2*math.Pi*997*float64(i)/rate))
	}
	meter.Add(sine)
	fmt.Printf("%.1f LUFS\n", meter.Integrated())
	// Output: -20.0 LUFS
}
