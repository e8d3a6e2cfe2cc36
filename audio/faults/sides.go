package faults

import (
	"math"

	"cuewright/audio/decode"
)

func bothSides(r *recording) []Fault { return sides(r.clip) }

// sides judges how the two sides of a stereo recording go together. Both faults are
// mended when it is mixed to mono, see decode.Clip.Mono, and so are no errors.
func sides(clip decode.Clip) []Fault {
	if clip.Channels != 2 {
		return nil
	}
	apart, c := clip.Sides()
	if apart = min(-Silent, math.Abs(apart)); apart >= decode.DeadSide {
		return []Fault{{DeadSide, Warning, apart, decode.DeadSide, "dB apart", "only one side holds sound, and only it is used: check the cable, or record in mono"}}
	}
	if c < decode.AntiPhase {
		return []Fault{{AntiPhase, Warning, c, decode.AntiPhase, "correlation", "the sides cancel each other, so one is turned round: record in mono"}}
	}
	return nil
}
