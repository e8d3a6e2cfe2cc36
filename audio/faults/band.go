package faults

import "cuewright/audio"

const (
	// leastRate is the lowest sample rate that holds the hiss of f, s and th.
	leastRate audio.Rate = 16000

	// bandSplit is a rate whose resampling keeps what lies under 3.7 kHz and
	// nothing over 4.9 kHz: the band of a telephone, split at 4.3 kHz in the middle.
	bandSplit audio.Rate = 9150
	// bandLeast is the least energy above that words have, in dB re all
	// of it (measured for this project).
	bandLeast = -55.0
)

// narrowBand tells recordings that went through a telephone or were kept at its
// sample rate.
func narrowBand(r *recording) []Fault {
	const advice = "dull as a telephone: record at 44.1 or 48 kHz, with a recorder and not in a call"
	if r.rate < leastRate {
		return []Fault{{NarrowBand, Warning, float64(r.rate), float64(leastRate), "samples a second", advice}}
	}
	words := audio.Sound{Rate: r.rate}
	for _, v := range r.heard[r.speech.From:r.speech.To] {
		words.Samples = append(words.Samples, float32(v))
	}
	// What the way down and back up loses is what lies above.
	low := audio.Resample(audio.Resample(words, bandSplit), r.rate)
	var above, all float64
	for i, v := range words.Samples {
		d := float64(v - low.Samples[i])
		above, all = above+d*d, all+float64(v)*float64(v)
	}
	share := power(above / all)
	if share >= bandLeast {
		return nil
	}
	return []Fault{{NarrowBand, Warning, share, bandLeast, "dB above 4.3 kHz", advice}}
}
