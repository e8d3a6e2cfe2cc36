package master

import (
	"cuewright/audio/mix"
	"math"
	"testing"
)

// TestForecast: what the limiter takes is told beforehand, so that one pass mostly does.
func TestForecast(t *testing.T) {
	voice, far := pulses(2), int64(150_000)
	events := []mix.Event{
		{At: 5000, Samples: voice, Gain: 0.5}, {At: 5000 + far, Samples: voice, Gain: 0.5}, // the same twice
		{At: 5000 + 2*far, Samples: voice, Gain: 0.4},
		{At: 5000 + 3*far, Samples: sine(500, 0.9, 1), Gain: 1}, // limited, but not spoken
	}
	m := mix.New(5000+4*far, events)
	var spoken []mix.Span
	for _, e := range events[:3] {
		spoken = append(spoken, mix.Span{From: e.At, To: e.At + int64(len(e.Samples))})
	}
	for _, wanted := range []float64{6, 9, 12, 14} {
		r := unlimited(m, 48000).reader()
		r.keep()
		plain := r.loudness(spoken)
		f := r.forecast(spoken, ceiling)
		gain := f.gain(wanted)
		r.set(float32(math.Pow(10, gain/20)), ceiling)
		r.keep()
		taken, told := plain+gain-r.loudness(spoken), gain-wanted
		if math.Abs(taken-told) > 0.01+0.1*taken {
			t.Errorf("%v LU more: the limiter takes %.3f LU, told were %.3f", wanted, taken, told)
		}
	}
	// Nothing is known of what is not kept.
	if got := unlimited(m, 48000).reader().forecast(spoken, ceiling).gain(9); got != 9 {
		t.Errorf("without islands kept the gain is %v", got)
	}
}
