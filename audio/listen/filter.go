package listen

import (
	"math"

	"cuewright/audio"
)

// whiten takes most of the weight from low frequencies, in which speech is
// strongest: each sample less most of the one before.
func whiten(x []float64) {
	const most = 0.9
	last := 0.0
	for i, v := range x {
		x[i], last = v-most*last, v
	}
}

// A MatchedFilter finds one shape.
type MatchedFilter struct {
	model []float64 // whitened
	// energy[n] is that of the first n frames of the model, slope its derivative's.
	energy, slope []float64
	pre           int // frames looked at before the earliest place searched
	rate          audio.Rate
	x             []float64
}

// NewMatchedFilter makes a filter matched to a shape that looks at length frames of it at least, with
// reach more at hand, and at pre frames before the earliest place searched.
func NewMatchedFilter(s Shape, rate audio.Rate, pre, length, reach int) *MatchedFilter {
	f := &MatchedFilter{model: model(s, rate, length+reach), pre: pre, rate: rate}
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

// Energy is that of the whole model, as it is whitened, at a gain of 1.
func (f *MatchedFilter) Energy() float64 { return f.energy[len(f.energy)-1] }

// A Fit is the best place of a known sound.
type Fit struct {
	Off       float64 // frames after the place it is due
	Gain      float64 // 1 for a sound of peak 1
	Explained float64 // share of the energy heard, 0 to 1
	// OffError and GainError are the standard errors of Off and Gain if what is left
	// unexplained is noise.
	OffError, GainError float64
	Sideband            float64 // amplitude of what else sounds near a tone's pitch, once Beside was asked
}

// Find searches x, in which the sound is due at index at, up to reach frames to
// either side. x reaches from at-pre-reach to beyond at+reach, at least.
func (f *MatchedFilter) Find(x []float32, at, reach int) Fit {
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
		var even, odd float64 // two sums at a time: neither waits for the other
		model := f.model[:n]
		heard = heard[:n]
		for i := 1; i < n; i += 2 {
			even += heard[i-1] * model[i-1]
			odd += heard[i] * model[i]
		}
		if n%2 == 1 {
			even += heard[n-1] * model[n-1]
		}
		sum := even + odd
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
		return Fit{}
	}
	out := Fit{Off: float64(best), Gain: gain, Explained: most / total}
	if best > -reach && best < reach {
		// Between two frames: the top of the parabola through three.
		a, _ := score(best - 1)
		c, _ := score(best + 1)
		if bend := a - 2*most + c; bend < 0 {
			out.Off += (a - c) / (2 * bend)
		}
	}
	n := min(len(y)-at-best, len(f.model))
	noise := math.Max(total-most, 0) / float64(len(y))
	out.GainError = math.Sqrt(noise / f.energy[n])
	out.OffError = math.Sqrt(noise/f.slope[n]) / gain
	return out
}

// Sidebands takes into a fit's errors what else sounds in x at nearly the pitch of a tone,
// which begins where x does: the mean amplitude at frequencies that have whole periods
// more or less in x, where the tone itself has none.
func (f *MatchedFilter) Sidebands(fit *Fit, x []float32) {
	var power float64
	n := 0
	for _, k := range []float64{-4, -3, -2, 2, 3, 4} {
		step := 2 * math.Pi * (pitch/float64(f.rate) + k/float64(len(x)))
		var re, im float64
		for i, v := range x {
			re += float64(v) * math.Cos(step*float64(i))
			im += float64(v) * math.Sin(step*float64(i))
		}
		power += (re*re + im*im) * 4 / float64(len(x)) / float64(len(x))
		n++
	}
	fit.Sideband = math.Sqrt(power / float64(n))
	if fit.Gain <= 0 {
		fit.OffError = math.Inf(1) // nothing was found
		return
	}
	fit.OffError = max(fit.OffError, fit.Sideband/math.Sqrt2/fit.Gain/PhaseStep(f.rate))
}
