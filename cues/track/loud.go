package track

import (
	"math"
	"time"

	"cuewright/audio/loudness"
	"cuewright/audio/wav"
)

// loudness is what a meter has measured, with the true peak of the master. The range
// says nothing of less than a minute (EBU Tech 3341 section 2.4).
func (t *Track) loudness(m *loudness.Meter) wav.Loudness {
	out := wav.Loudness{Integrated: m.Integrated(), Range: math.NaN(), TruePeak: t.Master.Peak,
		Momentary: m.MaxMomentary(), ShortTerm: m.MaxShortTerm()}
	if t.Frames >= t.Rate.Frame(time.Minute) {
		out.Range = m.Range()
	}
	if t.isPart() { // whose own peak nobody measured
		out.TruePeak = math.NaN()
	}
	return out
}
