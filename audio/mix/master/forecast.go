package master

import (
	"cuewright/audio/mix"
	"math"
)

// A forecast tells what the limiter will take from the spoken stretches at a gain, from
// the peaks and energies of every few frames: in no time beside the limiter's own, and
// to a tenth of what it takes (0.02 LU with the demo voice at 0.05 to 0.35 LU, flite and
// espeak-ng; rates under 32 kHz, where a step is long, miss by a third). It knows of kept
// islands only.
type forecast struct {
	outlines []outline
	energy   float64 // of all that is spoken in them
	ceiling  float32 // linear
	rise     float32 // of the limiter's gain in a step
}

// An outline is an island in steps.
type outline struct {
	peaks    []float32 // the highest of those by which the limiter sets its gain there
	energies []float64 // of what is spoken there, as often as it is
}

// forecastStep is a step in frames: a little more than a millisecond at 44.1 and 48 kHz.
const forecastStep = 64

// overSamples is how far true peaks stand over the highest samples of a voice, linear:
// what makes the forecast come true with the demo voice.
const overSamples = 1.008

// forecast looks at what is kept, which must be at a gain of 1 and not limited.
func (r *reader) forecast(spoken []mix.Span, ceiling float32) *forecast {
	f := &forecast{ceiling: r.under(ceiling) / overSamples, rise: float32(r.rise) / one * forecastStep}
	times := map[place]float64{}
	for _, s := range spoken {
		if p, ok := r.place(s); ok && r.islands[p.island].cached != nil {
			times[p]++
		}
	}
	outlines := map[int]outline{} // by island
	for _, s := range spoken {
		p, ok := r.place(s)
		n := times[p]
		if !ok || n == 0 {
			continue
		}
		times[p] = 0
		o, ok := outlines[p.island]
		if !ok {
			o = r.outline(r.islands[p.island].cached)
			outlines[p.island] = o
			f.outlines = append(f.outlines, o)
		}
		k := r.prefiltered(p.island)
		for i := p.from / forecastStep; i*forecastStep < p.to; i++ {
			e := n * k.Energy(int(max(p.from, i*forecastStep)), int(min(p.to, (i+1)*forecastStep)))
			o.energies[i] += e
			f.energy += e
		}
	}
	return f
}

func (l *limiter) outline(x []float32) outline {
	n := (len(x) + forecastStep - 1) / forecastStep
	o := outline{make([]float32, n), make([]float64, n)}
	own := make([]float32, n)
	for i := range own {
		own[i] = scale(x[i*forecastStep:min(len(x), (i+1)*forecastStep)], 1)
	}
	// From hold and half the attack before to half the attack after, as in envelope.
	ahead := (l.box + forecastStep - 1) / forecastStep
	back := ahead + (l.hold+forecastStep-1)/forecastStep
	for i := range o.peaks {
		for _, p := range own[max(0, i-back):min(n, i+ahead+1)] {
			o.peaks[i] = max(o.peaks[i], p)
		}
	}
	return o
}

// gain is the one in dB that makes what is spoken louder by so many LU.
func (f *forecast) gain(wanted float64) float64 {
	gain := wanted
	// What more the limiter takes from a gain that is a little higher is a small part of
	// that, so that this comes near in a few steps.
	for range 6 {
		gain = wanted + f.loss(gain)
	}
	return gain
}

// loss is by how many LU the limiter lowers what is spoken at a gain in dB.
func (f *forecast) loss(gain float64) float64 {
	if f.energy == 0 {
		return 0
	}
	free := f.ceiling / float32(math.Pow(10, gain/20)) // peaks under it are left alone
	var left float64
	for _, o := range f.outlines {
		now := float32(1)
		for i, peak := range o.peaks {
			if now = min(1, now+f.rise); peak*now > free {
				now = free / peak
			}
			left += o.energies[i] * float64(now*now)
		}
	}
	return 10 * math.Log10(f.energy/left)
}
