package faults

import (
	"cuewright/audio/clip"
	"slices"
	"time"
)

const (
	// quietLeast is the loudness of words in LUFS under which they are worth a
	// word; studio recordings lie between -23 and -11.5 (measured for this project).
	quietLeast = -40.0

	// Speech over noise in dB: under 30 it could be better, and under 20 the noise
	// is heard with every word and hides the weak ends of f, th and s (measured
	// for this project: trimming then cuts every third end).
	noiseWarn  = 30.0
	noiseError = 20.0

	// The noise is what 30 % of the frames in the silence lie under, so that a
	// breath or a chair does not count. Without silence it is what a tenth of all
	// frames lie under, if they are not so far under the words that they may be
	// pauses within, and if noiseLong of the file is near to them.
	noiseFrame = 20 * time.Millisecond
	noisePart  = 0.30
	tightPart  = 0.10
	tightUnder = 27.0 // dB
	tightNear  = 4.0  // dB
	tightLong  = 300 * time.Millisecond
)

func quiet(loudness float64) []Fault {
	f := Fault{Quiet, Warning, loudness, quietLeast, "LUFS", "record again nearer to the microphone, or with more input level"}
	switch {
	case loudness >= quietLeast:
		return nil
	case loudness < clip.Quietest:
		f.Severity, f.Limit = Error, clip.Quietest
		f.Advice = "too soft to be lifted to the others: " + f.Advice
	}
	return []Fault{f}
}

func noisy(r *recording) []Fault {
	noise, ok := noiseOf(r)
	switch ratio := r.speechDB - noise; {
	case !ok || ratio >= noiseWarn:
		return nil
	case ratio < noiseError:
		return []Fault{{Noisy, Error, ratio, noiseError, "dB over noise", "the noise is heard with every word: record again in a quieter room, nearer to the microphone"}}
	default:
		return []Fault{{Noisy, Warning, ratio, noiseWarn, "dB over noise", "a quieter room or a nearer microphone would be cleaner"}}
	}
}

// noiseOf gives the level of the noise; ok is false where none can be told.
func noiseOf(r *recording) (db float64, ok bool) {
	if db, ok := r.silenceDB(r.heard); ok {
		return db, true
	}
	all := levels(r.heard, r.rate, noiseFrame, noiseFrame)
	if len(all) == 0 {
		return 0, false
	}
	floor, near := percentile(all, tightPart), time.Duration(0)
	for _, v := range all {
		if v-floor <= tightNear && floor-v <= tightNear {
			near += noiseFrame
		}
	}
	return floor, floor > r.speechDB-tightUnder && near >= tightLong
}

// silenceDB gives the level in the silence of samples that stand for those of the
// recording; ok is false where there is none.
func (r *recording) silenceDB(x []float64) (db float64, ok bool) {
	parts := r.around(x)
	frames := slices.Concat(levels(parts[0], r.rate, noiseFrame, noiseFrame), levels(parts[1], r.rate, noiseFrame, noiseFrame))
	if len(frames) == 0 {
		return 0, false
	}
	return percentile(frames, noisePart), true
}
