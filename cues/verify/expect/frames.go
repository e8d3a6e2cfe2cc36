package expect

import (
	"time"

	"cuewright/plan/class"
)

// A Mark is a marker due.
type Mark struct {
	Frame int64
	Name  string
}

// marks are the opening, every segment and the closing.
func (d *Expected) marks(c *class.Class) []Mark {
	start, _ := c.TrackSpan()
	out := []Mark{{0, "opening"}}
	for i := range c.Segments {
		out = append(out, Mark{d.Frame(start + c.Segments[i].Start), c.Segments[i].Name()})
	}
	return append(out, Mark{d.Frame(start + c.Length), "closing"})
}

// Frame is the frame nearest to a time of the track, halfway the later one, in whole
// numbers. It is not audio's own function, so that a mistake of that one shows.
func (d *Expected) Frame(t time.Duration) int64 {
	seconds, rest := int64(t/time.Second), int64(t%time.Second)
	return seconds*int64(d.Rate) + (rest*int64(d.Rate)+5e8)/1e9
}

// Time is how long frames last, to the nanosecond.
func (d *Expected) Time(frames int64) time.Duration {
	seconds, rest := frames/int64(d.Rate), frames%int64(d.Rate)
	return time.Duration(seconds)*time.Second + time.Duration(rest*1e9/int64(d.Rate))
}

// Clock is the class time of a frame.
func (d *Expected) Clock(frame int64) time.Duration { return d.Time(frame - d.Start) }

// InMS is a number of frames in milliseconds.
func (d *Expected) InMS(frames float64) float64 { return frames * 1000 / float64(d.Rate) }
