package audio

import (
	"fmt"
	"math"
	"time"
)

// MaxClipLength is the longest recording that is read whole. A phrase lasts
// seconds; a whole hour by mistake should not fill the memory.
const MaxClipLength = 10 * time.Minute

// MaxClipSamples of all channels is the same limit in memory: 10 minutes of stereo
// at 48 kHz are 57.6 million samples, 230 MB.
const MaxClipSamples = 60_000_000

// Clip is a recording as a whole, decoded.
type Clip struct {
	Rate     Rate      // within [MinRate] and [MaxRate]
	Channels int       // 1 to 8
	Samples  []float32 // interleaved, linear, full scale at ±1
	Warnings []string  // what was wrong with the file and how it was taken
}

// CheckClip refuses a recording that is too long to be read whole, or of a rate that
// nobody records voices at. A reader asks before it makes room for the samples.
func CheckClip(rate Rate, channels int, frames int64) error {
	if err := rate.Check(); err != nil {
		return err
	}
	if frames > rate.Frame(MaxClipLength) || frames*int64(channels) > MaxClipSamples {
		return ErrTooLong
	}
	return nil
}

// ErrTooLong says that a recording is longer than [MaxClipLength].
var ErrTooLong = fmt.Errorf("longer than %v: a recording is one phrase", MaxClipLength)

// Warn adds a warning.
func (c *Clip) Warn(format string, args ...any) {
	c.Warnings = append(c.Warnings, fmt.Sprintf(format, args...))
}

// Frames is the number of frames.
func (c *Clip) Frames() int64 { return int64(len(c.Samples) / c.Channels) }

// Length is how long the clip is, to the millisecond, for the words of warnings.
func (c *Clip) Length() time.Duration { return c.Rate.Length(c.Frames()).Round(time.Millisecond) }

// Where a stereo recording counts as faulty.
const (
	DeadSide  = 20.0 // dB that one side lies under the other to count as dead
	AntiPhase = -0.5 // correlation under which one side is taken to be turned round
)

// Mono mixes a clip down to one channel, the mean of all, and says in warnings
// where it did otherwise. In stereo, a side 20 dB or more under the other is left
// out, since it is a cable or a microphone that failed and would halve the level;
// and where both sides move against each other (correlation below -0.5), one is
// turned round, since they would cancel out. More than two channels are no usual
// recording of a voice, which a warning says. A mono clip shares its samples.
func (c Clip) Mono() (Sound, []string) {
	if c.Channels == 1 {
		return Sound{Rate: c.Rate, Samples: c.Samples}, nil
	}
	gains := make([]float32, c.Channels)
	for i := range gains {
		gains[i] = 1 / float32(c.Channels)
	}
	var warnings []string
	if c.Channels > 2 {
		warnings = append(warnings, fmt.Sprintf("%d channels were mixed into one: record a voice in mono or stereo", c.Channels))
	}
	if c.Channels == 2 {
		apart, correlation := c.Sides()
		switch {
		case apart >= DeadSide:
			gains[0], gains[1] = 1, 0
			warnings = append(warnings, fmt.Sprintf("the right side is dead (%s): only the left one is used", under(apart)))
		case apart <= -DeadSide:
			gains[0], gains[1] = 0, 1
			warnings = append(warnings, fmt.Sprintf("the left side is dead (%s): only the right one is used", under(-apart)))
		case correlation < AntiPhase:
			gains[1] = -gains[1]
			warnings = append(warnings, fmt.Sprintf("both sides are in anti-phase (correlation %.2f): one is turned round", correlation))
		}
	}
	out := make([]float32, len(c.Samples)/c.Channels)
	for i := range out {
		var sum float32
		for k, gain := range gains {
			sum += gain * c.Samples[i*c.Channels+k]
		}
		out[i] = sum
	}
	return Sound{Rate: c.Rate, Samples: out}, warnings
}

func under(db float64) string {
	if math.IsInf(db, 0) {
		return "silent"
	}
	return fmt.Sprintf("%.0f dB under the other", db)
}

// Sides tells, of a stereo clip, by how many dB the left side lies over the right
// (infinite where one is silent, NaN where both are), and how far both move together,
// from -1 to 1. A constant offset is no sound and does not count.
func (c Clip) Sides() (apart, correlation float64) {
	n := float64(len(c.Samples) / 2)
	if n == 0 {
		return math.NaN(), 0
	}
	var l, r, ll, rr, lr float64
	for i := 0; i+1 < len(c.Samples); i += 2 {
		a, b := float64(c.Samples[i]), float64(c.Samples[i+1])
		l, r = l+a, r+b
		ll, rr, lr = ll+a*a, rr+b*b, lr+a*b
	}
	left, right := max(0, ll-l*l/n), max(0, rr-r*r/n)
	if left > 0 && right > 0 {
		correlation = (lr - l*r/n) / math.Sqrt(left*right)
	}
	return 10 * math.Log10(left/right), correlation
}
