package mix

import (
	"math"

	"cuewright/audio"
	"cuewright/audio/loudness"
)

// A Target is what a track is brought to.
type Target struct {
	// Loudness in LUFS (ITU-R BS.1770), integrated over the measured stretches
	// joined end to end, as heard from two speakers: mono counted twice.
	Loudness float64
	// Peak is the ceiling of the true peak in dBTP. Where both cannot be had, it wins.
	Peak float64
}

// A Master is a mix brought to a target: one gain for the whole, and a limiter
// for the peaks that stand out.
type Master struct {
	Loudness float64 // LUFS of the measured stretches as they come out, -Inf where nothing is measurable
	Peak     float64 // dBTP as it comes out
	Limited  float64 // dB by which the limiter lowers the highest peak, 0 or more
	Held     bool    // the ceiling kept the loudness below the target

	limited *limited
}

// mostLimited is how far the limiter may lower a peak, in dB. Recordings of
// people peak 11.5 to 15.7 dB over their loudest 400 ms (measured for this
// project) and need 1 to 2 dB; six are still no audible squeeze, more would be.
const mostLimited = 6.0

// tolerance is how near the loudness comes to its target, in LU.
const tolerance = 0.02

// Master brings m to the target. The loudness is that of the spoken stretches, as
// they come out of the limiter, so that what else sounds in a track does not
// change how loud its voice is. Where they measure nothing (no speech at all) the
// gain is the one for a stretch of the loudness otherwise.
func (m *Mix) Master(rate audio.Rate, spoken []Span, otherwise float64, t Target) *Master {
	ceiling := math.Pow(10, t.Peak/20)
	unlimited := newLimited(m, rate, 1, float32(math.Inf(1)))
	peak, _ := unlimited.peaks(m.Spans())
	measured := unlimited.loudness(rate, spoken)
	silent := math.IsInf(measured, -1)
	if silent {
		measured = otherwise
	}
	most := t.Peak + mostLimited - decibels(peak) // dB of gain
	out := &Master{}
	gain := t.Loudness - measured
	// Limiting takes some loudness away, which more gain gives back: each pass
	// comes nearer, and three are mostly enough.
	for range 8 {
		if gain > most {
			gain, out.Held = most, true
		}
		out.limited = newLimited(m, rate, float32(math.Pow(10, gain/20)), float32(ceiling))
		out.Loudness = out.limited.loudness(rate, spoken)
		missing := t.Loudness - out.Loudness
		if silent || out.Held || math.Abs(missing) < tolerance {
			break
		}
		gain += missing
	}
	peak, least := out.limited.peaks(m.Spans())
	out.Peak, out.Limited = decibels(peak), -decibels(least)
	return out
}

// block is how many frames are worked on at once: small enough for a cache.
const block = 1 << 15

// loudness is that of the stretches joined end to end, in LUFS.
func (l *limited) loudness(rate audio.Rate, stretches []Span) float64 {
	meter := loudness.NewMeter(rate, 2)
	r := l.reader()
	for _, s := range stretches {
		r.each(s, meter.Add)
	}
	return meter.Integrated()
}

// peaks are the highest true peak of the spans and the least gain the limiter
// applies in them, both linear.
func (l *limited) peaks(spans []Span) (peak, least float64) {
	r := l.reader()
	for _, s := range spans {
		var p loudness.PeakMeter
		r.each(s, p.Add)
		peak = max(peak, p.Peak())
	}
	return peak, float64(r.least)
}

// each reads a span in blocks.
func (r *reader) each(s Span, do func([]float32)) {
	if r.block == nil {
		r.block = make([]float32, block)
	}
	for at := s.From; at < s.To; at += block {
		b := r.block[:min(block, s.To-at)]
		r.Read(b, at)
		do(b)
	}
}

func decibels(x float64) float64 { return 20 * math.Log10(x) }
