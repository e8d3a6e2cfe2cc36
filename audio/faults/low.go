package faults

import (
	"math"
	"slices"
	"time"

	"cuewright/audio"
)

// What lies below any voice. All figures were measured for this project.
const (
	dcLimit = 0.01 // of full scale

	rumbleLowPass = 50.0 // Hz, 24 dB an octave
	rumbleFrame   = 40 * time.Millisecond
	popLimit      = -7.0  // dB re the words, of one frame within them
	rumbleLimit   = -25.0 // dB re the words, of half the frames
)

// dc is removed on loading, and told because it may come with worse.
func dc(r *recording) []Fault {
	x := slices.Concat(r.silence[0], r.silence[1])
	if len(x) == 0 {
		x = r.x
	}
	offset := math.Abs(meanOf(x))
	if offset <= dcLimit {
		return nil
	}
	return []Fault{{DC, Warning, offset, dcLimit, "of full scale", "the wave is off its middle, which is mended: try another cable or input"}}
}

// rumble tells pops (a breath that hits the microphone, a knock) from a steady
// rumble. What lies outside the words is cut off, so pops count within them only.
func rumble(r *recording) []Fault {
	y := r.highPassed(1) // no more than the offset
	audio.LowPass(r.rate, rumbleLowPass).Filter(y)
	audio.LowPass(r.rate, rumbleLowPass).Filter(y)
	within := levels(y[r.speech.From:r.speech.To], r.rate, rumbleFrame, rumbleFrame/4)
	if len(within) == 0 {
		return nil
	}
	if pop := slices.Max(within) - r.speechDB; pop > popLimit {
		return []Fault{{Rumble, Error, pop, popLimit, "dB to the words", "a pop or a knock: speak past the microphone, not into it, and leave it lying"}}
	}
	parts := r.around(y)
	steady := slices.Concat(levels(parts[0], r.rate, rumbleFrame, rumbleFrame), levels(parts[1], r.rate, rumbleFrame, rumbleFrame))
	if len(steady) == 0 {
		steady = within
	}
	if level := percentile(steady, 0.5) - r.speechDB; level > rumbleLimit {
		return []Fault{{Rumble, Warning, level, rumbleLimit, "dB to the words", "a rumble: lay the microphone on something soft, away from fans and traffic"}}
	}
	return nil
}
