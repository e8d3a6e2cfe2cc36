package track

import (
	"math"
	"time"

	"cuewright/audio"
)

// beep is a sine of hz for exactly rate.Frame(length) frames, with a 1 ms
// raised-cosine ramp at both ends (shorter where the beep is shorter than two
// ramps). Its peak is 1. The first sample is not zero, so the beep can be heard
// and measured from the very frame it is put on.
func beep(rate audio.Rate, hz float64, length time.Duration) audio.Sound {
	out := make([]float32, max(0, rate.Frame(length)))
	ramp := min(rate.Frame(time.Millisecond), int64(len(out)/2))
	for i := range out {
		// A cosine, since a sine would begin with a zero under the ramp.
		v := math.Cos(angle(rate, hz) * float64(i))
		out[i] = float32(v * rise(int64(i), ramp) * rise(int64(len(out)-1-i), ramp))
	}
	normalise(out, 1)
	return audio.Sound{Rate: rate, Samples: out}
}

// tick is the click of one step: two partials of 1200 and 2900 Hz (1 : 0.6)
// under a 1 ms attack and a decay of 12 ms time constant, 50 ms in all with a
// 4 ms fade at the end, so that it can be heard through speech at a low level.
// Its peak is 1. The second foot sounds three semitones lower (1010 and 2440 Hz)
// and its peak is 2 dB lower.
func tick(rate audio.Rate, second bool) audio.Sound {
	low, high, peak := 1200.0, 2900.0, 1.0
	if second {
		low, high, peak = 1010, 2440, math.Pow(10, -2.0/20)
	}
	const decay = 0.012
	out := make([]float32, rate.Frame(50*time.Millisecond))
	attack, fade := rate.Frame(time.Millisecond), rate.Frame(4*time.Millisecond)
	for i := range out {
		v := math.Cos(angle(rate, low)*float64(i)) + 0.6*math.Cos(angle(rate, high)*float64(i))
		v *= math.Exp(-float64(i) / (decay * float64(rate)))
		out[i] = float32(v * rise(int64(i), attack) * rise(int64(len(out)-1-i), fade))
	}
	normalise(out, peak)
	return audio.Sound{Rate: rate, Samples: out}
}

// rise is a raised-cosine ramp over the first n frames, and 1 after them. It is
// above zero from frame 0 on.
func rise(frame, n int64) float64 {
	if frame >= n {
		return 1
	}
	return 0.5 - 0.5*math.Cos(math.Pi*float64(frame+1)/float64(n+1))
}

// normalise scales x so that its largest magnitude is peak.
func normalise(x []float32, peak float64) {
	var most float64
	for _, v := range x {
		most = max(most, math.Abs(float64(v)))
	}
	if most == 0 {
		return
	}
	for i, v := range x {
		x[i] = float32(float64(v) / most * peak)
	}
}

// angle is by how much the phase of hz moves from frame to frame, in radians.
func angle(rate audio.Rate, hz float64) float64 { return 2 * math.Pi * hz / float64(rate) }

// stepFrame is the frame of step k after step 0 at a cadence given in tenths of
// steps a minute (1805 is 180.5): floor(k·60·rate/cadence + 1/2). Every step is
// rounded once from its exact place, so that errors never add up. The result is
// exact while |k| stays below 4·10¹⁰. It panics if tenths is not positive.
func stepFrame(rate audio.Rate, k, tenths int64) int64 {
	if tenths <= 0 {
		panic("track: cadence must be positive")
	}
	over, under := 2*600*k*int64(rate)+tenths, 2*tenths
	frame := over / under
	if over%under < 0 {
		frame-- // towards minus infinity
	}
	return frame
}
