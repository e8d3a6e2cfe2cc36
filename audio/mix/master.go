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

// Level is what a mix measures, and the gain that brings it to a target.
type Level struct {
	Gain     float32 // linear
	Loudness float64 // LUFS after the gain, -Inf where nothing is measurable
	Peak     float64 // dBTP after the gain
	Held     bool    // the ceiling kept the loudness below the target
}

// Measure finds the gain that brings m to the target: one for the whole mix.
// The loudness is that of the spoken stretches, so that what else sounds in a
// track does not change how loud its voice is. Where they measure nothing (no
// speech at all) the gain is the one for a stretch of the given loudness.
func (m *Mix) Measure(rate audio.Rate, spoken []Span, otherwise float64, t Target) Level {
	meter := loudness.NewMeter(rate, 2)
	buf := make([]float32, block)
	for _, s := range spoken {
		m.each(buf, s, func(b []float32, _ int64) { meter.Add(b) })
	}
	var peak float64
	for _, s := range m.Spans() {
		var p loudness.PeakMeter
		m.each(buf, s, func(b []float32, _ int64) { p.Add(b) })
		peak = max(peak, p.Peak())
	}
	l := Level{Loudness: meter.Integrated(), Peak: decibels(peak)}
	measured := l.Loudness
	if math.IsInf(measured, -1) {
		measured = otherwise
	}
	gain := t.Loudness - measured
	if room := t.Peak - l.Peak; gain > room {
		gain, l.Held = room, true
	}
	l.Gain = float32(math.Pow(10, gain/20))
	l.Loudness += gain
	l.Peak += gain
	return l
}

// block is how many frames are worked on at once: small enough for a cache.
const block = 1 << 15

// each reads the span in blocks.
func (m *Mix) each(buf []float32, s Span, do func(b []float32, at int64)) {
	for at := s.From; at < s.To; at += int64(len(buf)) {
		b := buf[:min(int64(len(buf)), s.To-at)]
		m.Read(b, at)
		do(b, at)
	}
}

func decibels(x float64) float64 { return 20 * math.Log10(x) }
