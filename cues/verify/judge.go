package verify

import (
	"cuewright/cues/verify/expect"
	"cuewright/cues/verify/measure"
	"cuewright/cues/verify/onset"
)

// judge is the work of one Judge.
type judge struct {
	want    *expect.Expected
	heard   *measure.Measurements
	hearing measure.Hearing
	crest   float64 // dB

	tones, clicks onset.Offsets
	otherLength   int // calls that last otherwise than due
}
