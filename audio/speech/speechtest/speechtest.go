// Package speechtest makes words out of arithmetic, for tests: phones by source and
// filter, of which it is known where they begin.
package speechtest

import (
	"encoding/binary"
	"math"
	"math/rand/v2"

	"cuewright/audio"
)

// A Phone is one sound of a made word.
type Phone struct {
	Kind  byte // 'v' vowel, 'n' nasal, 's' and 'f' fricatives, '|' closure, 't' burst
	MS    float64
	Level float64    // dB re a vowel
	HZ    [3]float64 // resonances, 0 for none
}

// Vowel is one of three formants, in Hz.
func Vowel(ms float64, f1, f2, f3 float64) Phone {
	return Phone{'v', ms, 0, [3]float64{f1, f2, f3}}
}

// The phones of words.
var (
	Hiss    = Phone{'s', 110, -14, [3]float64{5200, 6400, 0}}
	Breathy = Phone{'f', 90, -24, [3]float64{1800, 5600, 0}}
	Hum     = Phone{'n', 80, -6, [3]float64{270, 1100, 2200}}
	Closure = Phone{'|', 60, -200, [3]float64{}}
	Pause   = Phone{'|', 250, -200, [3]float64{}}
	Burst   = Phone{'t', 30, -12, [3]float64{3500, 4800, 0}}
)

// A Made is a word, its samples and where its first vowel starts.
type Made struct {
	Rate    audio.Rate
	X       []float64
	Onset   float64 // seconds, of the first vowel
	Seconds float64
}

// Say makes a word of phones by source and filter: glottal pulses or noise
// through resonators, joined by 8 ms cross-fades, the first and last faded longer.
func Say(rate audio.Rate, f0 float64, rng *rand.Rand, phones ...Phone) Made {
	fs := float64(rate)
	w := Made{Rate: rate, Onset: -1}
	var at float64
	for _, p := range phones {
		if p.Kind == 'v' && w.Onset < 0 {
			w.Onset = at
		}
		at += p.MS / 1000
	}
	w.Seconds = at
	w.X = make([]float64, int(at*fs))
	at = 0
	for k, p := range phones {
		n := int(p.MS / 1000 * fs)
		y := make([]float64, n)
		var tilt, phase float64
		for i := range y {
			switch p.Kind {
			case 'v', 'n':
				phase += f0 * (1 - 0.15*float64(i)/float64(n)) / fs
				pulse := 0.0
				if phase >= 1 {
					phase--
					pulse = 1
				}
				tilt += (pulse - tilt) * 2 * math.Pi * 300 / fs
				y[i] = tilt
			case '|':
			default:
				y[i] = rng.NormFloat64()
			}
		}
		for j, hz := range p.HZ {
			if hz > 0 {
				Resonate(y, fs, min(hz, 0.45*fs), 60+hz*0.06*float64(j+1))
			}
		}
		Scale(y, 0.1*math.Pow(10, p.Level/20))
		in, out := 0.004, 0.004
		if k == 0 && p.Kind != 't' {
			in = 0.02
		}
		if k == len(phones)-1 && p.Kind != 't' {
			out = 0.06
		}
		if p.Kind == 't' {
			in, out = 0.0005, 0.025
		}
		for i := range y {
			t, end := float64(i)/fs, float64(n-1-i)/fs
			g := min(1, t/in) * min(1, end/out)
			if j := int(at*fs) + i; j < len(w.X) {
				w.X[j] += y[i] * g
			}
		}
		at += p.MS / 1000
	}
	return w
}

// Resonate puts x through a resonator, in place.
func Resonate(x []float64, fs, hz, width float64) {
	r := math.Exp(-math.Pi * width / fs)
	b, c := 2*r*math.Cos(2*math.Pi*hz/fs), -r*r
	var y1, y2 float64
	for i, v := range x {
		y := (1-b-c)*v + b*y1 + c*y2
		x[i], y2, y1 = y, y1, y
	}
}

// Scale brings x to an RMS.
func Scale(x []float64, rms float64) {
	if have := RMS(x); have > 0 {
		for i := range x {
			x[i] *= rms / have
		}
	}
}

// RMS is the root of the mean square.
func RMS(x []float64) float64 {
	var sum float64
	for _, v := range x {
		sum += v * v
	}
	return math.Sqrt(sum / float64(max(1, len(x))))
}

// Noise is white.
func Noise(n int, rms float64, rng *rand.Rand) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = rng.NormFloat64() * rms
	}
	return x
}

// Add mixes y into x from sample at on.
func Add(x, y []float64, at int) {
	for i, v := range y {
		if at+i >= 0 && at+i < len(x) {
			x[at+i] += v
		}
	}
}

// Padded puts a word between silences, in seconds.
func (w Made) Padded(before, after float64) []float64 {
	fs := float64(w.Rate)
	x := make([]float64, int(before*fs)+len(w.X)+int(after*fs))
	Add(x, w.X, int(before*fs))
	return x
}

// Words are the shapes of words that tests make, with short and long, voiced and
// unvoiced beginnings and ends.
var Words = map[string][]Phone{
	"go":     {Closure, Burst, Vowel(320, 500, 900, 2400)},
	"six":    {Hiss, Vowel(140, 400, 1900, 2550), Closure, Hiss},
	"four":   {Breathy, Vowel(330, 570, 840, 2410)},
	"nine":   {Hum, Vowel(260, 700, 1300, 2500), Hum},
	"eight":  {Vowel(210, 530, 1850, 2500), Closure, Burst},
	"seven":  {Hiss, Vowel(110, 530, 1850, 2500), Breathy, Vowel(90, 500, 1500, 2400), Hum},
	"two":    {Burst, Breathy, Vowel(260, 320, 900, 2200)},
	"ahead":  {Vowel(80, 500, 1500, 2500), Breathy, Vowel(200, 530, 1850, 2500)},
	"step":   {Hiss, Closure, Burst, Vowel(150, 530, 1850, 2500), Closure, Burst},
	"go on":  {Closure, Burst, Vowel(200, 500, 900, 2400), Pause, Vowel(180, 700, 1000, 2500), Hum},
	"effort": {Vowel(120, 530, 1850, 2500), Breathy, Vowel(140, 500, 1400, 1700), Closure, Burst},
}

// Shapes lists the names of Words in a fixed order.
var Shapes = []string{"go", "six", "four", "nine", "eight", "seven", "two", "ahead", "effort", "step", "go on"}

// Bounds gives where clean speech lies, by a measure of its own: 10 ms frames within
// 38 dB of the loudest, the definition the figures of audio/speech were taken with.
func Bounds(x []float64, rate audio.Rate) (from, to int) {
	size, hop := int(rate)/100, int(rate)/1000
	var top float64
	for i := 0; i+size <= len(x); i += hop {
		top = max(top, RMS(x[i:i+size]))
	}
	from = -1
	for i := 0; i+size <= len(x); i += hop {
		if RMS(x[i:i+size]) > top*math.Pow(10, -38./20) {
			if from < 0 {
				from = i + size/2
			}
			to = i + size/2
		}
	}
	return from, to
}

// WAV writes 32-bit float samples as a WAV file of some channels.
func WAV(rate audio.Rate, channels ...[]float64) []byte {
	frames, n := len(channels[0]), len(channels)
	size := 4 * frames * n
	le := binary.LittleEndian
	b := append([]byte("RIFF"), le.AppendUint32(nil, uint32(36+size))...)
	b = append(b, "WAVEfmt "...)
	b = le.AppendUint32(b, 16)
	b = le.AppendUint16(b, 3)
	b = le.AppendUint16(b, uint16(n))
	b = le.AppendUint32(b, uint32(rate))
	b = le.AppendUint32(b, uint32(int(rate)*n*4))
	b = le.AppendUint16(b, uint16(n*4))
	b = le.AppendUint16(b, 32)
	b = append(b, "data"...)
	b = le.AppendUint32(b, uint32(size))
	for i := range frames {
		for _, c := range channels {
			b = le.AppendUint32(b, math.Float32bits(float32(c[i])))
		}
	}
	return b
}
