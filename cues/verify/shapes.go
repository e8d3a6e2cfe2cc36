package verify

import (
	"math"

	"cuewright/audio"
)

// The known sounds, as the project documents them: a tone is a cosine of 1 kHz
// from its first frame on; a click is two partials, 1 : 0.6, that decay with
// 12 ms, the second foot three semitones lower and 2 dB softer. All swell for 1 ms
// along a raised cosine.
const (
	pitch     = 1000.0 // Hz
	swellTime = 1.0    // ms
	decayTime = 12.0   // ms
)

var partials = map[shape][2]float64{leftClick: {1200, 2900}, rightClick: {1010, 2440}}

// swell is the raised cosine: frame i of n.
func swell(i int, n float64) float64 {
	return 0.5 * (1 - math.Cos(math.Pi*min(1, (float64(i)+1)/(n+1))))
}

// model is the beginning of a sound, n frames of it, of peak about 1.
func model(s shape, rate audio.Rate, n int) []float64 {
	perMS := float64(rate) / 1000
	ramp := math.Round(swellTime * perMS)
	out := make([]float64, n)
	for i := range out {
		turns := float64(i) / float64(rate)
		v := math.Cos(2 * math.Pi * pitch * turns)
		if p, ok := partials[s]; ok {
			v = math.Cos(2*math.Pi*p[0]*turns) + 0.6*math.Cos(2*math.Pi*p[1]*turns)
			v *= math.Exp(-float64(i) / (decayTime * perMS))
			if s == rightClick {
				v *= math.Pow(10, -2.0/20)
			}
		}
		out[i] = v * swell(i, ramp)
	}
	return out
}

// whiten takes most of the weight from low frequencies, in which speech is
// strongest: each sample less most of the one before.
func whiten(x []float64) {
	const most = 0.9
	last := 0.0
	for i, v := range x {
		x[i], last = v-most*last, v
	}
}

// A finder finds one shape.
type finder struct {
	model []float64 // whitened
	// energy[n] is that of the first n frames of the model, slope its derivative's.
	energy, slope []float64
	pre           int // frames looked at before the earliest place searched
	x             []float64
}

// newFinder makes a finder of a shape that looks at length frames of it at
// least, with reach more at hand.
func newFinder(s shape, rate audio.Rate, pre, length, reach int) *finder {
	f := &finder{model: model(s, rate, length+reach), pre: pre}
	whiten(f.model)
	f.energy = make([]float64, len(f.model)+1)
	f.slope = make([]float64, len(f.model)+1)
	for i, v := range f.model {
		next := v
		if i+1 < len(f.model) {
			next = f.model[i+1]
		}
		f.energy[i+1] = f.energy[i] + v*v
		f.slope[i+1] = f.slope[i] + (next-v)*(next-v)
	}
	return f
}

// A fit is the best place of a known sound.
type fit struct {
	off       float64 // frames after the place it is due
	gain      float64
	explained float64 // share of the energy heard, 0 to 1
	// doubt and gainDoubt are the standard errors of off and gain if what is left
	// unexplained is noise.
	doubt, gainDoubt float64
	beneath          float64 // amplitude of what else sounds near a tone's pitch
}

// find searches x, in which the sound is due at index at, up to reach frames to
// either side. x reaches from at-pre-reach on, at least.
func (f *finder) find(x []float32, at, reach int) fit {
	from := at - reach - f.pre
	f.x = f.x[:0]
	for _, v := range x[from:] {
		f.x = append(f.x, float64(v))
	}
	whiten(f.x)
	f.x[0] = 0
	y := f.x
	at -= from
	var total float64
	for _, v := range y {
		total += v * v
	}
	score := func(d int) (s, gain float64) {
		heard := y[at+d:]
		n := min(len(heard), len(f.model))
		var sum float64
		for i, h := range f.model[:n] {
			sum += heard[i] * h
		}
		if sum <= 0 {
			return 0, 0
		}
		return sum * sum / f.energy[n], sum / f.energy[n]
	}
	best, most, gain := 0, 0.0, 0.0
	for d := -reach; d <= reach; d++ {
		if s, g := score(d); s > most {
			best, most, gain = d, s, g
		}
	}
	if most == 0 {
		return fit{}
	}
	out := fit{off: float64(best), gain: gain, explained: most / total}
	if best > -reach && best < reach {
		// Between two frames: the top of the parabola through three.
		a, _ := score(best - 1)
		c, _ := score(best + 1)
		if bend := a - 2*most + c; bend < 0 {
			out.off += (a - c) / (2 * bend)
		}
	}
	n := min(len(y)-at-best, len(f.model))
	noise := math.Max(total-most, 0) / float64(len(y))
	out.gainDoubt = math.Sqrt(noise / f.energy[n])
	out.doubt = math.Sqrt(noise/f.slope[n]) / gain
	return out
}
