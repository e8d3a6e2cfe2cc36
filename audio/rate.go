package audio

import (
	"fmt"
	"time"
)

// Rate is a sample rate in frames per second.
type Rate int

// The slowest and fastest rates that the audio rooms promise to work at.
const (
	MinRate Rate = 8000
	MaxRate Rate = 192000
)

// Check returns an error for a rate outside [MinRate] and [MaxRate].
func (r Rate) Check() error {
	if r < MinRate || r > MaxRate {
		return fmt.Errorf("%d frames a second (%d to %d can be used)", r, MinRate, MaxRate)
	}
	return nil
}

// Frame is the frame nearest to the time t: floor(t·r + 1/2), so that a time
// just between two frames takes the later one, before zero as well. The result
// is exact for every t within ±24 h and every rate up to MaxRate.
func (r Rate) Frame(t time.Duration) int64 {
	// Whole seconds and the rest are turned apart, because t·r in nanoseconds
	// leaves 64 bits after about 13 hours at 192 kHz.
	const second = int64(time.Second)
	whole := floorDiv(int64(t), second)
	rest := int64(t) - whole*second
	return whole*int64(r) + (2*rest*int64(r)+second)/(2*second)
}

// Length is the time that frames last, rounded up to the nanosecond, so that
// Frame(Length(n)) == n for every n and every rate up to MaxRate.
func (r Rate) Length(frames int64) time.Duration {
	const second = int64(time.Second)
	whole := floorDiv(frames, int64(r))
	rest := frames - whole*int64(r)
	return time.Duration(whole*second + (rest*second+int64(r)-1)/int64(r))
}

// floorDiv is a/b rounded towards minus infinity; b must be positive.
func floorDiv(a, b int64) int64 {
	q := a / b
	if a%b < 0 {
		q--
	}
	return q
}
