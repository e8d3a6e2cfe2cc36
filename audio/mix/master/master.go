// Package master brings a mix to a loudness under a ceiling: one gain for the whole, a limiter for the peaks that
// stand out, and the bytes of what comes out, with the figures of them.
package master

import (
	"math"

	"cuewright/audio"
	"cuewright/audio/loudness"
	"cuewright/audio/mix"
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
// for the peaks that stand out. Its figures are those of what comes out.
type Master struct {
	Loudness float64 // LUFS of the measured stretches, -Inf where nothing is measurable
	Peak     float64 // dBTP of the whole, -Inf of silence
	Limited  float64 // dB by which the limiter lowers a peak at most, 0 or more
	Held     bool    // the ceiling keeps the loudness below the target

	limited *limiter
}

// maxLimited is how far the limiter may lower a peak of the spoken stretches, in
// dB. Recordings of people peak 11.5 to 15.7 dB over their loudest 400 ms (measured
// for this project) and need 1 to 3 dB. At six it works in one sixth of the demo
// voice and takes 0.9 LU from it; more would squeeze whole words.
const maxLimited = 6.0

// tolerance is how near the loudness comes to its target, in LU.
const tolerance = 0.02

// maxPasses is how often the gain is tried. The demo voice needs one, and two where
// its calls stand over clicks or music.
const maxPasses = 12

// firstSlope is how many LU a further dB of gain brings, as measured with the
// demo voice at 3 dB of limiting: a guess for the second pass.
const firstSlope = 0.8

// New brings m to the target. The loudness is that of the spoken stretches,
// which are in order, as they come out of the limiter, so that what else sounds in
// a track does not change how loud its voice is: a click or a tone between them may
// be limited as far as it takes. Where they measure nothing (no speech at all) the
// gain is the one for a stretch of the loudness otherwise, in LUFS.
func New(m *mix.Mix, rate audio.Rate, spoken []mix.Span, otherwise float64, t Target) *Master {
	r := unlimited(m, rate).reader()
	r.keep()
	measured, highest := r.loudness(spoken), spoken
	silent := math.IsInf(measured, -1)
	if silent {
		measured, highest = otherwise, m.Spans()
	}
	peak, _ := r.peaks(highest)
	most := t.Peak + maxLimited - decibels(peak) // dB of gain
	out := &Master{limited: r.limiter}
	ceiling := float32(math.Pow(10, t.Peak/20))
	// Limiting takes some loudness away, which more gain gives back, and is in part
	// taken away again. Where the forecast misses it, the next gain lies on the line
	// through the last two.
	gain := t.Loudness - measured
	if !silent {
		gain = r.forecast(spoken, ceiling).gain(gain)
	}
	gain = min(most, gain)
	lastGain, lastLoudness := gain, t.Loudness
	slope := firstSlope
	for range maxPasses {
		r.set(float32(math.Pow(10, gain/20)), ceiling)
		r.keep()
		out.Loudness = r.loudness(spoken)
		missing := t.Loudness - out.Loudness
		if silent || math.Abs(missing) <= tolerance || missing > 0 && gain == most {
			break
		}
		if gain != lastGain {
			// Never flatter than a quarter, so that one step is no leap.
			slope = min(1, max(0.25, (out.Loudness-lastLoudness)/(gain-lastGain)))
		}
		lastGain, lastLoudness = gain, out.Loudness
		gain = min(most, gain+missing/slope)
	}
	out.Held = !silent && out.Loudness < t.Loudness-tolerance
	peak, least := r.peaks(m.Spans())
	out.Peak, out.Limited = decibels(peak), -decibels(least)
	return out
}

// Loudness is that of stretches of the mix, joined end to end, in LUFS as heard from
// two speakers, or otherwise where they measure nothing.
func Loudness(m *mix.Mix, rate audio.Rate, stretches []mix.Span, otherwise float64) float64 {
	if l := unlimited(m, rate).reader().loudness(stretches); !math.IsInf(l, -1) {
		return l
	}
	return otherwise
}

func unlimited(m *mix.Mix, rate audio.Rate) *limiter {
	return newLimited(m, rate, 1, float32(math.Inf(1)))
}

// block is how many frames are worked on at once: small enough for a cache.
const block = 1 << 16

// loudness is that of the stretches joined end to end, in LUFS; what is kept counts as
// it is weighted where it stands.
func (r *reader) loudness(stretches []mix.Span) float64 {
	meter := loudness.NewIntegrator(r.rate, 2)
	for _, s := range stretches {
		if p, ok := r.place(s); ok && r.islands[p.island].cached != nil {
			meter.AddPrefiltered(r.prefiltered(p.island), int(p.from), int(p.to))
		} else {
			r.each(s, meter.Add)
		}
	}
	return meter.Integrated()
}

// peaks are the highest true peak of the spans, which are in order with silence
// between them, and the least gain the limiter applies in them, both linear.
func (r *reader) peaks(spans []mix.Span) (peak, least float64) {
	r.least = r.limiter.least
	var meter loudness.PeakMeter
	seen := map[place]bool{}
	for _, s := range mix.Joined(spans, int64(r.lead)) {
		p, ok := r.place(s)
		if ok && seen[p] {
			continue
		}
		seen[p] = ok
		r.each(s, meter.Add)
		// More silence changes no peak.
		meter.Add(make([]float32, loudness.Support))
	}
	return meter.Peak(), float64(r.least)
}

// each reads a span in blocks.
func (r *reader) each(s mix.Span, do func([]float32)) {
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
