package track

import (
	"fmt"
	"math"
	"path/filepath"
	"testing"
	"time"

	"cuewright/audio"
	"cuewright/audio/loudness"
)

// TestClickLevel: clicks are as loud at every cadence, over the loudest 400 ms of them, also where two or three fall into it.
func TestClickLevel(t *testing.T) {
	cadences := []int{100, 149, 151, 160, 172, 180, 200, 220}
	text := "class: X\nunits: km/h\ncalls: {reminders: 0s, left: [], repeat: 0s, ahead: 5s, count: {from: 3}}\nmain:\n"
	for _, c := range cadences {
		text += fmt.Sprintf("  - {speed: 9, cadence: %d, gait: run, for: 20s}\n", c)
	}
	path := filepath.Join(t.TempDir(), "clicks.wav")
	render(t, text, path)
	f := readFile(t, path)
	first := 0.0
	for i, c := range cadences {
		// Between the calls after a change and those before the next one.
		from := f.rate * (20 + 20*i + 8)
		s := audio.Sound{Rate: audio.Rate(f.rate)}
		for _, x := range f.samples[from : from+5*f.rate] {
			s.Samples = append(s.Samples, float32(x)/(1<<15))
		}
		level := loudness.MaxWindow(s, 400*time.Millisecond)
		if i == 0 {
			first = level
		}
		if math.Abs(level-first) > 0.3 || level < -60 {
			t.Errorf("%d steps a minute: %.2f LUFS, at %d %.2f", c, level, cadences[0], first)
		}
	}
}
