package faults

import (
	"math"

	"cuewright/audio"
)

func bothSides(r *recording) []Fault { return sides(r.clip) }

// sides judges how the two sides of a stereo recording go together. Both faults are
// mended when it is mixed to mono, see audio.Clip.Mono, and so are no errors.
func sides(clip audio.Clip) []Fault {
	if clip.Channels != 2 {
		return nil
	}
	apart, c := clip.Sides()
	if apart = min(-silent, math.Abs(apart)); apart >= audio.DeadSide {
		return []Fault{{deadSide, Warning, apart, audio.DeadSide, "dB apart", "only one side holds sound, and only it is used: check the cable, or record in mono"}}
	}
	if c < audio.AntiPhase {
		return []Fault{{antiPhase, Warning, c, audio.AntiPhase, "correlation", "the sides cancel each other, so one is turned round: record in mono"}}
	}
	return nil
}
