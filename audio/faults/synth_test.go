package faults

import (
	"math"
	"math/rand/v2"
	"slices"

	"cuewright/audio"
	"cuewright/audio/speech/speechtest"
)

// Two computer voices made of arithmetic: a source (glottal pulses with a little
// breath, or noise) through the resonances of a throat, sound by sound.

// A sound is one piece of a word.
type sound struct {
	kind  byte // 'v' voiced, 'h' hiss, 'b' burst, '.' closure
	ms    float64
	level float64 // dB re a vowel
	hz    []float64
}

func vowel(ms, f1, f2, f3 float64) sound {
	return sound{'v', ms, 0, append([]float64{f1, f2, f3}, upper...)}
}

// upper are the resonances that hardly move; without them a voice is dull.
var upper = []float64{3500, 4500, 5500, 6500, 7500}

var (
	hissS   = sound{'h', 110, -14, []float64{5200, 6400}}
	hissF   = sound{'h', 90, -24, []float64{1800, 5600}}
	hissH   = sound{'h', 70, -20, []float64{600, 1600, 2600}}
	nasal   = sound{'v', 80, -6, append([]float64{270, 1100, 2200}, upper...)}
	glide   = sound{'v', 70, -4, append([]float64{320, 700, 2300}, upper...)}
	closure = sound{'.', 60, 0, nil}
	burst   = sound{'b', 30, -12, []float64{3500, 4800}}
)

// shapes are those of words with short and long, voiced and unvoiced beginnings
// and ends. The vowels are those of the words, after Peterson and Barney 1952,
// Journal of the Acoustical Society of America 24:175.
var shapes = map[string][]sound{
	"one":     {glide, vowel(220, 640, 1190, 2390), nasal},
	"two":     {burst, hissH, vowel(260, 300, 870, 2240)},
	"three":   {hissF, glide, vowel(260, 270, 2290, 3010)},
	"four":    {hissF, vowel(330, 570, 840, 2410)},
	"six":     {hissS, vowel(140, 390, 1990, 2550), closure, hissS},
	"seven":   {hissS, vowel(110, 530, 1840, 2480), hissF, vowel(90, 490, 1350, 1690), nasal},
	"eight":   {vowel(210, 530, 1840, 2480), closure, burst},
	"nine":    {nasal, vowel(260, 730, 1090, 2440), nasal},
	"ten":     {burst, hissH, vowel(180, 530, 1840, 2480), nasal},
	"go":      {closure, burst, vowel(320, 570, 840, 2410)},
	"ahead":   {vowel(80, 490, 1350, 1690), hissH, vowel(200, 530, 1840, 2480)},
	"step":    {hissS, closure, burst, vowel(150, 530, 1840, 2480), closure, burst},
	"effort":  {vowel(120, 530, 1840, 2480), hissF, vowel(140, 490, 1350, 1690), closure, burst},
	"incline": {vowel(100, 390, 1990, 2550), nasal, closure, burst, glide, vowel(230, 730, 1090, 2440), nasal},
}

// names lists the words in a fixed order.
var names = []string{"one", "two", "three", "four", "six", "seven", "eight", "nine", "ten", "go", "ahead", "step", "effort", "incline"}

// A throat is one of the two voices.
type throat struct {
	pitch  float64 // Hz at the start of a vowel
	longer float64 // by how much the resonances lie higher
	tilt   float64 // Hz from where the pulses lose 6 dB an octave
	breath float64 // of the pulses
}

var throats = []throat{{112, 1, 350, 0.02}, {205, 1.15, 500, 0.04}}

// say speaks a word. Pitch and lengths vary as a speaker's do.
func (t throat) say(rate audio.Rate, rng *rand.Rand, word []sound) []float64 {
	fs := float64(rate)
	pitch, pace := t.pitch*(0.9+0.2*rng.Float64()), 0.9+0.3*rng.Float64()
	var out []float64
	for i, s := range word {
		y := t.source(s, pitch, int(s.ms*pace/1000*fs), fs, rng)
		for k, hz := range s.hz {
			if hz *= t.longer; hz < 0.45*fs {
				speechtest.Resonate(y, fs, hz, 60+0.05*hz*float64(k+1))
			}
		}
		scale(y, math.Pow(10, s.level/20))
		in, end := 0.006, 0.006
		switch {
		case s.kind == 'b':
			in, end = 0.0005, 0.02
		case i == 0:
			in = 0.02
		}
		if i == len(word)-1 && s.kind != 'b' {
			end = 0.06
		}
		for j := range y {
			y[j] *= min(1, float64(j)/fs/in) * min(1, float64(len(y)-1-j)/fs/end)
		}
		out = append(out, y...)
	}
	audio.HighPass(rate, 60).Filter(out) // lips give off no steady pressure
	return out
}

func (t throat) source(s sound, pitch float64, n int, fs float64, rng *rand.Rand) []float64 {
	y := make([]float64, n)
	var phase, pulse float64
	for i := range y {
		at := float64(i) / float64(n)
		switch s.kind {
		case 'v':
			// The voice swells and fades within a sound, and no two pulses are alike.
			strength := math.Sin(math.Pi*(0.15+0.7*at)) * db(-4*at)
			fired := t.breath * rng.NormFloat64() * math.Sqrt(pitch/fs) * strength
			if phase += pitch * (1 - 0.15*at) / fs; phase >= 1 {
				phase--
				fired += strength * within(rng, 0.9, 1.1)
			}
			pulse += (fired - pulse) * (1 - math.Exp(-2*math.Pi*t.tilt/fs))
			y[i] = pulse
		case 'h', 'b':
			y[i] = rng.NormFloat64()
		}
	}
	return y
}

// reverb adds what a room throws back: it takes t60 seconds to fall by 60 dB, and
// is together directDB under the sound itself. A few hundred echoes do.
func reverb(x []float64, fs, t60, directDB float64, rng *rand.Rand) []float64 {
	const echoes = 250
	at, gain := make([]int, echoes), make([]float64, echoes)
	var energy float64
	for i := range at {
		t := 0.003 + rng.Float64()*t60
		at[i] = int(t * fs)
		gain[i] = rng.NormFloat64() * math.Pow(10, -3*t/t60)
		energy += gain[i] * gain[i]
	}
	out := slices.Clone(x)
	g := math.Pow(10, -directDB/20) / math.Sqrt(energy)
	for i, d := range at {
		echo, by := out[min(d, len(out)):], g*gain[i]
		for j, v := range x[:len(echo)] {
			echo[j] += by * v
		}
	}
	return out
}

func rms(x []float64) float64 { return math.Sqrt(meanSquare(x)) }

// scale brings x to an RMS.
func scale(x []float64, to float64) {
	if have := rms(x); have > 0 {
		times(x, to/have)
	}
}

func times(x []float64, gain float64) {
	for i := range x {
		x[i] *= gain
	}
}

// add mixes y into x from sample at on.
func add(x, y []float64, at int) {
	for i, v := range y {
		if at+i >= 0 && at+i < len(x) {
			x[at+i] += v
		}
	}
}

// noise is white, or dark with most of it under some 400 Hz. Its level counts from
// 80 Hz on.
func noise(n int, level float64, dark bool, fs float64, rng *rand.Rand) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = rng.NormFloat64()
	}
	if dark {
		speechtest.Resonate(x, fs, 60, 400)
	}
	heard := slices.Clone(x)
	audio.HighPass(audio.Rate(fs), 80).Filter(heard)
	times(x, level/rms(heard))
	return x
}
