package master

import (
	"math"
	"math/rand/v2"
)

// Signals of arithmetic and two meters that share nothing with the code under test.

func sine(hz, amplitude float64, seconds float64) []float32 {
	x := make([]float32, int(48000*seconds))
	for i := range x {
		x[i] = float32(amplitude * math.Sin(2*math.Pi*hz*float64(i)/48000))
	}
	return x
}

// pulses are like speech: pulses of a throat at 110 Hz in three resonances, some
// stronger than others, in syllables of a quarter of a second.
func pulses(seconds float64) []float32 {
	rng := rand.New(rand.NewPCG(3, 4))
	x := make([]float32, int(48000*seconds))
	for at := 0; at < len(x); at += 400 + rng.IntN(70) {
		strong := 0.25 * math.Exp(0.35*rng.NormFloat64()) * math.Sin(math.Pi*float64(at%12000)/12000)
		for i := at; i < min(at+2400, len(x)); i++ {
			t := float64(i-at) / 48000
			x[i] += float32(strong * (math.Exp(-t*250)*math.Sin(2*math.Pi*600*t) + 0.5*math.Exp(-t*400)*math.Sin(2*math.Pi*1500*t) +
				0.3*math.Exp(-t*600)*math.Sin(2*math.Pi*2700*t)))
		}
	}
	return x
}

// noise is white, or without what lies above 0.4 of the rate.
func noise(frames int, deviation float64, white bool) []float32 {
	const half = 64
	rng := rand.New(rand.NewPCG(7, 7))
	raw := make([]float64, frames+2*half)
	for i := range raw {
		raw[i] = deviation * rng.NormFloat64()
	}
	x := make([]float32, frames)
	for i := range x {
		if white {
			x[i] = float32(raw[i])
			continue
		}
		sum := 0.0
		for k := -half; k < half; k++ {
			sum += raw[i+half+k] * 0.8 * sinc(0.8*float64(k)) * hann(float64(k)/half)
		}
		x[i] = float32(sum)
	}
	return x
}

func sinc(x float64) float64 {
	if x == 0 {
		return 1
	}
	return math.Sin(math.Pi*x) / (math.Pi * x)
}

// hann is a window between -1 and 1.
func hann(x float64) float64 { return 0.5 + 0.5*math.Cos(math.Pi*x) }

// truePeak is the peak of the signal at eight times its rate by a sinc of 64
// samples under a Hann window.
func truePeak(x []float32) float64 {
	const half, times = 32, 8
	var taps [times][2 * half]float64
	for k := range taps {
		for j := range taps[k] {
			d := float64(j-half+1) - float64(k)/times
			taps[k][j] = sinc(d) * hann(d/half)
		}
	}
	padded := make([]float64, len(x)+2*half)
	for i, v := range x {
		padded[half-1+i] = float64(v)
	}
	var peak float64
	for i := range x {
		for k := range taps {
			sum := 0.0
			for j, w := range taps[k] {
				sum += w * padded[i+j]
			}
			peak = max(peak, math.Abs(sum))
		}
	}
	return peak
}

// lufs is the integrated loudness of one channel at 48 kHz, counted twice, by the
// filters and gates as BS.1770-5 prints them.
func lufs(x []float64) float64 {
	filter := func(x []float64, b0, b1, b2, a1, a2 float64) []float64 {
		y := make([]float64, len(x))
		var x1, x2, y1, y2 float64
		for i, v := range x {
			y[i] = b0*v + b1*x1 + b2*x2 - a1*y1 - a2*y2
			x1, x2, y1, y2 = v, x1, y[i], y1
		}
		return y
	}
	x = filter(x, 1.53512485958697, -2.69169618940638, 1.19839281085285, -1.69065929318241, 0.73248077421585)
	x = filter(x, 1, -2, 1, -1.99004745483398, 0.99007225036621)
	var blocks []float64
	for from := 0; from+19200 <= len(x); from += 4800 {
		sum := 0.0
		for _, v := range x[from : from+19200] {
			sum += 2 * v * v / 19200
		}
		blocks = append(blocks, sum)
	}
	above := func(gate float64) float64 {
		sum, n := 0.0, 0.0
		for _, b := range blocks {
			if -0.691+10*math.Log10(b) > gate {
				sum, n = sum+b, n+1
			}
		}
		return -0.691 + 10*math.Log10(sum/n)
	}
	return above(above(-70) - 10)
}
