package faults

import "cuewright/audio"

const (
	// minRate is the lowest sample rate that holds the hiss of f, s and th.
	minRate audio.Rate = 16000

	// bandSplit is a rate whose resampling keeps what lies under 3.7 kHz and
	// nothing over 4.9 kHz: the band of a telephone, split at 4.3 kHz in the middle.
	bandSplit audio.Rate = 9150
	// bandLeast is the least energy above that words have, in dB re all of it;
	// single words of dull voices can have less, but then it comes and goes with
	// the words: it lies bandOver dB above that of the silence. Under bandNone
	// there is nothing to compare (measured for this project).
	bandLeast = -50.0
	bandOver  = 3.0
	bandNone  = -75.0
)

// narrowBand tells recordings that went through a telephone or were kept at its
// sample rate.
func narrowBand(r *recording) []Fault {
	const advice = "dull as a telephone: record at 44.1 or 48 kHz, with a recorder and not in a call"
	if r.rate < minRate {
		return []Fault{{NarrowBand, Warning, float64(r.rate), float64(minRate), "samples a second", advice}}
	}
	high := r.aboveSplit()
	words := power(meanSquare(high[r.speech.From:r.speech.To]))
	share := words - r.speechDB
	if share >= bandLeast {
		return nil
	}
	if noise, ok := r.silenceDB(high); ok && share > bandNone && words-noise > bandOver {
		return nil
	}
	return []Fault{{NarrowBand, Warning, share, bandLeast, "dB above 4.3 kHz", advice}}
}

// aboveSplit is what of the recording lies above the band of a telephone: what
// the way down to bandSplit and back loses.
func (r *recording) aboveSplit() []float64 {
	all := audio.Sound{Rate: r.rate, Samples: make([]float32, len(r.heard))}
	for i, v := range r.heard {
		all.Samples[i] = float32(v)
	}
	low := audio.Resample(audio.Resample(all, bandSplit), r.rate)
	out := make([]float64, len(r.heard))
	for i, v := range r.heard {
		out[i] = v - float64(low.Samples[i])
	}
	return out
}
