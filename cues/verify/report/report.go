// Package report holds what a track was found to keep and to break of its promises, and
// writes it for the eye.
package report

import (
	"fmt"
	"io"
	"math"
	"time"

	"cuewright/cues/verify/expect"
	"cuewright/plan/units"
)

// A Report is what was heard.
type Report struct {
	// Form tells what the file is: length, rate, bits, channels.
	Form string `json:"form"`
	// Right is true where no limit is broken.
	Right bool `json:"right"`
	// LooksLike names what explains the faults as a whole, "" where nothing does.
	LooksLike string `json:"looks_like"`
	// Largest is the largest error of place of any tone, click or marker, in
	// milliseconds, positive where it comes late.
	Largest float64 `json:"largest_ms"`
	Checks  []Check `json:"checks"`
}

// A Promise is a kind of thing that a plan promises of its track.
type Promise string

// The promises, in the order in which they are told.
const (
	Form         Promise = "form"
	Length       Promise = "length"
	Tones        Promise = "tones"
	Clicks       Promise = "clicks"
	Calls        Promise = "calls"
	CountedWords Promise = "counted words"
	Music        Promise = "music"
	Silence      Promise = "silence"
	Pauses       Promise = "pauses"
	Loudness     Promise = "loudness"
	TruePeak     Promise = "true peak"
	Clipping     Promise = "clipping"
	Markers      Promise = "markers"
)

// A Check is one kind of promise, measured.
type Check struct {
	Name  Promise `json:"name"`
	Right bool    `json:"right"`
	// Due is how many there are to be measured, Heard how many were and are within
	// the limit, Hidden how many cannot be measured where they are.
	Due    int `json:"due"`
	Heard  int `json:"heard"`
	Hidden int `json:"hidden"`
	// Text tells the figures and the limit in words.
	Text   string  `json:"text"`
	Faults []Fault `json:"faults"` // every one of them
}

// A Fault is a limit broken at one place.
type Fault struct {
	Frame   int64         `json:"frame"` // of the track, -1 where it has no place
	At      time.Duration `json:"-"`     // class time
	ErrorMS float64       `json:"error_ms"`
	Message string        `json:"message"`
}

// Fault adds one at a frame of the file; ms is an error of place.
func (c *Check) Fault(d *expect.Expected, frame int64, ms float64, format string, args ...any) {
	c.Faults = append(c.Faults, Fault{frame, d.Clock(frame), ms, fmt.Sprintf(format, args...)})
}

// Whole adds a fault of the track as a whole.
func (c *Check) Whole(format string, args ...any) {
	c.Faults = append(c.Faults, Fault{Frame: -1, Message: fmt.Sprintf(format, args...)})
}

// Off says by how much something is early or late: "3 frames (0.063 ms) late".
func Off(d *expect.Expected, frames float64) string {
	way := "late"
	if frames < 0 {
		way, frames = "early", -frames
	}
	n := fmt.Sprintf("%.1f frames", frames)
	switch whole := math.Round(frames); {
	case math.Abs(frames-whole) > 0.05:
	case whole == 1:
		n = "1 frame"
	default:
		n = fmt.Sprintf("%.0f frames", whole)
	}
	return fmt.Sprintf("%s (%s) %s", n, Millis(d.InMS(frames)), way)
}

// Millis writes milliseconds with as many digits as matter.
func Millis(ms float64) string {
	switch a := math.Abs(ms); {
	case a < 1:
		return fmt.Sprintf("%.3f ms", a)
	case a < 1000:
		return fmt.Sprintf("%.1f ms", a)
	}
	if math.Abs(ms) >= 60_000 {
		return units.FormatLength((time.Duration(math.Abs(ms)) * time.Millisecond).Round(100 * time.Millisecond))
	}
	return fmt.Sprintf("%.2f s", math.Abs(ms)/1000)
}

// maxLines is how many faults of a check are printed; JSON has them all.
const maxLines = 8

// Write prints r as lines for the eye: what holds, what does not, and where, in
// class time.
func (r *Report) Write(w io.Writer) error {
	text := r.Form + "\n\n"
	for i := range r.Checks {
		c := &r.Checks[i]
		word := "holds"
		if !c.Right {
			word = "FAILS"
		}
		text += fmt.Sprintf("  %s  %-15s %s\n", word, c.Name, c.Text)
		for k, f := range c.Faults {
			if k == maxLines {
				text += fmt.Sprintf("         … and %d more\n", len(c.Faults)-k)
				break
			}
			if f.Frame < 0 {
				text += fmt.Sprintf("         %s\n", f.Message)
			} else {
				text += fmt.Sprintf("         %s  %s\n", units.FormatClock(f.At), f.Message)
			}
		}
	}
	text += "\n"
	if r.LooksLike != "" {
		text += "It looks like " + r.LooksLike + ".\n"
	}
	broken := 0
	for _, c := range r.Checks {
		if !c.Right {
			broken++
		}
	}
	place := "every tone and click that can be measured is in its place"
	if r.Largest != 0 {
		place = "the largest error of a tone, click or marker is " + Millis(r.Largest)
	}
	switch broken {
	case 0:
		text += "The track holds what its plan promises; " + place + ".\n"
	case 1:
		text += "One promise of the plan is broken; " + place + ".\n"
	default:
		text += fmt.Sprintf("%d promises of the plan are broken; %s.\n", broken, place)
	}
	_, err := io.WriteString(w, text)
	return err
}

// Either is a where it is so, else b.
func Either(so bool, a, b string) string {
	if so {
		return a
	}
	return b
}

// Note keeps an error of place in milliseconds, if it is the largest.
func (r *Report) Note(ms float64) {
	if math.Abs(ms) > math.Abs(r.Largest) {
		r.Largest = ms
	}
}
