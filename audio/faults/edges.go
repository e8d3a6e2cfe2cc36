package faults

import "time"

// A word that sounds at the very first or last sample was cut. All figures were
// measured for this project. Fades do not repair it, so it is always an error.
const (
	cutHighPass = 200.0                 // Hz
	cutWithin   = 30 * time.Millisecond // of the edge the words must lie
	cutStartLen = 5 * time.Millisecond
	cutEndLen   = 10 * time.Millisecond
	cutLevel    = -30.0 // dB re the strongest sounds, from where the edge sounds
	cutOver     = 9.0   // dB over what a tenth of the file lies under
)

func cutStart(r *recording) []Fault {
	if r.speech.From >= r.samples(cutWithin) {
		return nil
	}
	return r.cut(CutStart, 0, r.samples(cutStartLen), "the word begins before the recording: start it, wait a moment, then speak")
}

func cutEnd(r *recording) []Fault {
	if len(r.x)-r.speech.To >= r.samples(cutWithin) {
		return nil
	}
	return r.cut(CutEnd, len(r.x)-r.samples(cutEndLen), len(r.x), "the recording stops within the word: wait a moment before you stop it")
}

// cut judges the edge from one sample to another.
func (r *recording) cut(kind Kind, from, to int, advice string) []Fault {
	y := r.highPassed(cutHighPass)
	db := levels(y, r.rate, frameTime, hopTime)
	edge, top := power(meanSquare(y[from:to])), meanOfLoudest(db)
	if edge-top <= cutLevel || edge <= percentile(db, 0.10)+cutOver {
		return nil
	}
	return []Fault{{kind, Error, edge - top, cutLevel, "dB at the edge", advice}}
}
