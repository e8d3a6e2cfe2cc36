package faults

import (
	"math"

	"cuewright/audio/decode"
)

// The limits are those by which a recording is mended when it is mixed to mono,
// see decode.Clip.Mono; that is why neither fault is an error.
const (
	deadLimit  = 20.0 // dB apart
	phaseLimit = -0.5 // correlation
)

func bothSides(r *recording) []Fault { return sides(r.clip) }

// sides judges how the two sides of a stereo recording go together.
func sides(clip decode.Clip) []Fault {
	if clip.Channels != 2 {
		return nil
	}
	left, right := channel(clip, 0), channel(clip, 1)
	l, r := meanOf(left), meanOf(right)
	var both, ll, rr float64
	for i := range left {
		a, b := left[i]-l, right[i]-r
		ll, rr, both = ll+a*a, rr+b*b, both+a*b
	}
	if max(ll, rr) == 0 {
		return nil
	}
	if apart := min(-Silent, 10*math.Log10(max(ll, rr)/min(ll, rr))); apart >= deadLimit {
		return []Fault{{DeadSide, Warning, apart, deadLimit, "dB apart", "only one side holds sound, and only it is used: check the cable, or record in mono"}}
	}
	if c := both / math.Sqrt(ll*rr); c < phaseLimit {
		return []Fault{{AntiPhase, Warning, c, phaseLimit, "correlation", "the sides cancel each other, so one is turned round: record in mono"}}
	}
	return nil
}
