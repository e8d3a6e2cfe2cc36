package verify

import (
	"fmt"
	"math"

	"cuewright/audio/listen"
	"cuewright/cues/verify/container"
	"cuewright/cues/verify/expect"
	"cuewright/cues/verify/measure"
	"cuewright/cues/verify/onset"
	"cuewright/cues/verify/report"
)

// Limits of where a tone or a click begins: half a frame, under another
// sound two and a half, or in a lossy form a millisecond.
// Measured with a sample as MP3 of 64 to 192 kbit/s, AAC of 96 and Opus of 64, all
// with their delay taken off: 0.002 ms at most.
const (
	exactPlace = 0.5 // frames
	lossyPlace = 1.0 // ms
)

func (j *judge) placeLimit() (frames float64) {
	switch {
	case j.heard.Recording.Lossy:
		return lossyPlace * float64(j.want.Rate) / 1000
	case j.want.Bed:
		return max(onset.CoveredPlace, math.Asin(j.want.MusicShare())/listen.PhaseStep(j.want.Rate))
	case container.Copied(j.want, j.heard.Recording):
		return 1 // both places are rounded to frames
	}
	return exactPlace
}

// place judges tones or clicks.
func (j *judge) place(name report.Promise, sounds []expect.Sound, heard []measure.Onset, all *onset.Offsets) report.Check {
	c := report.Check{Name: name, Due: len(sounds)}
	shift := float64(j.heard.Alignment.Shift)
	limit, median := j.placeLimit(), onset.MedianGain(heard)
	var offs, hidden []float64
	verdicts := make([]onset.Verdict, len(sounds))
	for i := range sounds {
		if verdicts[i] = onset.Judge(j.want, &sounds[i], &heard[i], median, limit, j.heard.Recording.Lossy); verdicts[i] == onset.Placed {
			offs = append(offs, heard[i].Off+shift)
		} else if verdicts[i] == onset.Covered {
			hidden = append(hidden, heard[i].Off+shift)
		}
	}
	if len(offs) == 0 {
		offs = hidden // they tell less
	}
	e := onset.OffsetsOf(offs)
	*all = e
	together := e.Alike && math.Abs(e.Median) > limit
	if together {
		c.Whole("all of them are %s", report.Off(j.want, e.Median))
	}
	under := 0
	for i, s := range sounds {
		by := heard[i].Off + shift
		limit := limit
		switch verdicts[i] {
		case onset.Hidden:
			c.Hidden++
		case onset.Absent:
			c.Fault(j.want, s.From, 0, "%s is missing", s.Name)
		case onset.Unlike:
			c.Fault(j.want, s.From, 0, "%s is not what is heard here", s.Name)
		default:
			if verdicts[i] == onset.Covered {
				limit = max(limit, onset.CoveredPlace)
				under++
			}
			switch {
			case together && math.Abs(by-e.Median) <= max(limit, 1):
			case together && !s.Alone && !s.Shape.IsTone():
				c.Hidden++ // under another sound it may be a period off
			case math.Abs(by) > limit:
				c.Fault(j.want, s.From, j.want.InMS(by), "%s is %s", s.Name, report.Off(j.want, by))
			default:
				c.Heard++
			}
		}
	}
	for _, n := range j.wrongLengths(name, sounds) {
		s := sounds[n.i]
		c.Fault(j.want, s.From, 0, "%s lasts %.0f ms, not %.0f", s.Name, j.want.InMS(float64(n.lasts)), j.want.InMS(float64(s.To-s.From)))
	}
	limits := report.Millis(j.want.InMS(limit))
	if j.want.Bed && !j.heard.Recording.Lossy {
		limits += " under music"
	}
	if under > 0 && limit < onset.CoveredPlace {
		limits += fmt.Sprintf(", for %d under other sounds %s", under, report.Millis(j.want.InMS(onset.CoveredPlace)))
	}
	c.Text = fmt.Sprintf("%s, off by %s at most (limit %s)", j.count(&c), report.Millis(j.want.InMS(e.Worst)), limits)
	return c
}

// count says how many were measured of how many due.
func (j *judge) count(c *report.Check) string {
	text := fmt.Sprintf("%d of %d right", c.Heard, c.Due)
	if c.Hidden > 0 && j.want.Bed {
		text += fmt.Sprintf(", %d not measurable here under the music", c.Hidden)
	} else if c.Hidden > 0 {
		text += fmt.Sprintf(", %d not measurable here under other sounds", c.Hidden)
	}
	return text
}

// lengthWithin is how far the length of a tone may be off, in ms, as the detector hears
// it. Over 1,300 beeps and long tones of random plans it was 0.4 to 1.7 ms short.
const lengthWithin = 5

// A wrongLength is a tone that ends elsewhere.
type wrongLength struct {
	i     int
	lasts int64
}

// wrongLengths finds tones that last otherwise than due, of those with nothing else
// within them and silence around: a click that begins early in a beep makes the detector
// hear the tone anew behind it, up to 21 ms short.
func (j *judge) wrongLengths(name report.Promise, sounds []expect.Sound) []wrongLength {
	var out []wrongLength
	if name != report.Tones {
		return nil
	}
	within := j.want.MS(20)
	k := 0
	for i, s := range sounds {
		if !s.Single || !j.want.QuietAround(s.Span) {
			continue
		}
		at := s.From + j.heard.Alignment.Shift
		for k < len(j.heard.Alignment.Heard) && j.heard.Alignment.Heard[k].From < at-within {
			k++
		}
		if k < len(j.heard.Alignment.Heard) && j.heard.Alignment.Heard[k].From <= at+within {
			h := j.heard.Alignment.Heard[k]
			if by := (h.To - h.From) - (s.To - s.From); max(by, -by) > j.want.MS(lengthWithin) {
				out = append(out, wrongLength{i, h.To - h.From})
			}
		}
	}
	return out
}
