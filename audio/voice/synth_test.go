package voice

import (
	"encoding/binary"
	"math"
	"math/rand/v2"
	"testing/fstest"

	"cuewright/audio"
)

// A phone is one sound of a made word.
type phone struct {
	kind  byte // 'v' vowel, 'n' nasal, 's' and 'f' fricatives, '|' closure, 't' burst
	ms    float64
	level float64 // dB re a vowel
	hz    [3]float64
}

func vowel(ms float64, f1, f2, f3 float64) phone {
	return phone{'v', ms, 0, [3]float64{f1, f2, f3}}
}

var (
	hiss    = phone{'s', 110, -14, [3]float64{5200, 6400, 0}}
	breathy = phone{'f', 90, -24, [3]float64{1800, 5600, 0}}
	hum     = phone{'n', 80, -6, [3]float64{270, 1100, 2200}}
	closure = phone{'|', 60, -200, [3]float64{}}
	pause   = phone{'|', 250, -200, [3]float64{}}
	burst   = phone{'t', 30, -12, [3]float64{3500, 4800, 0}}
)

// A made word, its samples and where its first vowel starts.
type made struct {
	rate    audio.Rate
	x       []float64
	onset   float64 // seconds, of the first vowel
	seconds float64
}

// say makes a word of phones by source and filter: glottal pulses or noise
// through resonators, joined by 8 ms cross-fades, the first and last faded longer.
func say(rate audio.Rate, f0 float64, rng *rand.Rand, phones ...phone) made {
	fs := float64(rate)
	w := made{rate: rate, onset: -1}
	var at float64
	for _, p := range phones {
		if p.kind == 'v' && w.onset < 0 {
			w.onset = at
		}
		at += p.ms / 1000
	}
	w.seconds = at
	w.x = make([]float64, int(at*fs))
	at = 0
	for k, p := range phones {
		n := int(p.ms / 1000 * fs)
		y := make([]float64, n)
		var tilt, phase float64
		for i := range y {
			switch p.kind {
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
		for j, hz := range p.hz {
			if hz > 0 {
				resonate(y, fs, min(hz, 0.45*fs), 60+hz*0.06*float64(j+1))
			}
		}
		scale(y, 0.1*math.Pow(10, p.level/20))
		in, out := 0.004, 0.004
		if k == 0 && p.kind != 't' {
			in = 0.02
		}
		if k == len(phones)-1 && p.kind != 't' {
			out = 0.06
		}
		if p.kind == 't' {
			in, out = 0.0005, 0.025
		}
		for i := range y {
			t, end := float64(i)/fs, float64(n-1-i)/fs
			g := min(1, t/in) * min(1, end/out)
			if j := int(at*fs) + i; j < len(w.x) {
				w.x[j] += y[i] * g
			}
		}
		at += p.ms / 1000
	}
	return w
}

func resonate(x []float64, fs, hz, width float64) {
	r := math.Exp(-math.Pi * width / fs)
	b, c := 2*r*math.Cos(2*math.Pi*hz/fs), -r*r
	var y1, y2 float64
	for i, v := range x {
		y := (1-b-c)*v + b*y1 + c*y2
		x[i], y2, y1 = y, y1, y
	}
}

// scale brings x to an RMS.
func scale(x []float64, rms float64) {
	if have := rmsOf(x); have > 0 {
		for i := range x {
			x[i] *= rms / have
		}
	}
}

func rmsOf(x []float64) float64 {
	var sum float64
	for _, v := range x {
		sum += v * v
	}
	return math.Sqrt(sum / float64(max(1, len(x))))
}

func noise(n int, rms float64, rng *rand.Rand) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = rng.NormFloat64() * rms
	}
	return x
}

// add mixes y into x from sample at on.
func add(x, y []float64, at int) {
	for i, v := range y {
		if at+i >= 0 && at+i < len(x) {
			x[at+i] += v
		}
	}
}

// padded puts a word between silences, in seconds.
func (w made) padded(before, after float64) []float64 {
	fs := float64(w.rate)
	x := make([]float64, int(before*fs)+len(w.x)+int(after*fs))
	add(x, w.x, int(before*fs))
	return x
}

// wavOf writes 32-bit float samples as a WAV file of some channels.
func wavOf(rate audio.Rate, channels ...[]float64) []byte {
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

// words are the shapes of words that tests make, with short and long, voiced and
// unvoiced beginnings and ends.
var words = map[string][]phone{
	"go":     {closure, burst, vowel(320, 500, 900, 2400)},
	"six":    {hiss, vowel(140, 400, 1900, 2550), closure, hiss},
	"four":   {breathy, vowel(330, 570, 840, 2410)},
	"nine":   {hum, vowel(260, 700, 1300, 2500), hum},
	"eight":  {vowel(210, 530, 1850, 2500), closure, burst},
	"seven":  {hiss, vowel(110, 530, 1850, 2500), breathy, vowel(90, 500, 1500, 2400), hum},
	"two":    {burst, breathy, vowel(260, 320, 900, 2200)},
	"ahead":  {vowel(80, 500, 1500, 2500), breathy, vowel(200, 530, 1850, 2500)},
	"step":   {hiss, closure, burst, vowel(150, 530, 1850, 2500), closure, burst},
	"go on":  {closure, burst, vowel(200, 500, 900, 2400), pause, vowel(180, 700, 1000, 2500), hum},
	"effort": {vowel(120, 530, 1850, 2500), breathy, vowel(140, 500, 1400, 1700), closure, burst},
}

// shapes lists the names of words in a fixed order.
var shapes = []string{"go", "six", "four", "nine", "eight", "seven", "two", "ahead", "effort", "step", "go on"}

// folder is a voice with a recording of every word in names, in clean silence.
func folder(rate audio.Rate, names ...string) fstest.MapFS {
	out := fstest.MapFS{}
	for i, name := range names {
		rng := rand.New(rand.NewPCG(uint64(i), 7))
		w := say(rate, 110+10*float64(i%5), rng, words[shapes[i%len(shapes)]]...)
		out[name] = &fstest.MapFile{Data: wavOf(rate, w.padded(0.2, 0.25))}
	}
	return out
}
