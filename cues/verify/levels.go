package verify

import (
	"fmt"
	"math"

	"cuewright/cues/verify/report"
)

const (
	loudWithin      = 0.1 // LU; the mastering comes within 0.02
	lossyLoudWithin = 0.5
	heldWithin      = 0.2 // dB under the ceiling at which it may hold the loudness down
	// maxLimited is how far the limiter lowers the peaks of speech at most, in dB, and
	// limiterTakes what that takes from its loudness at most, in LU; sentences are so
	// much softer at most than their loudest 400 ms.
	maxLimited, limiterTakes, sentencesUnder = 6.0, 1.5, 2.0
	clicksOver                               = 2.0 // dB that clicks or music under speech may add to its peaks
	// lossyPeak is how far decoding may move the peak, in dB. Measured with classes
	// as MP3: -0.45, AAC: +0.12, Opus: +0.55.
	lossyPeak = 1.0
)

// louder is by how many LU the calls are louder than the plan wants, 0 within the limit.
func (j *judge) louder() float64 {
	by := j.heard.Levels.Loudness - j.want.Target
	if math.IsInf(by, -1) || math.Abs(by) <= j.loudWithin() || j.heldDown(by) {
		return 0
	}
	return by
}

func (j *judge) loudWithin() float64 {
	if j.heard.Recording.Lossy {
		return lossyLoudWithin
	}
	return loudWithin
}

// heldDown tells whether the ceiling explains that the calls are by so many LU too soft.
func (j *judge) heldDown(by float64) bool {
	within := heldWithin
	if j.heard.Recording.Lossy {
		within = lossyPeak
	}
	return by < 0 && -by < j.canHold()+j.loudWithin() && j.heard.Levels.Peak > j.want.Ceiling-within
}

func (j *judge) loudness() report.Check {
	c := report.Check{Name: report.Loudness, Due: 1}
	got := j.heard.Levels.Loudness
	if math.IsInf(got, -1) {
		c.Hidden = 1
		c.Text = "no speech to measure"
		return c
	}
	held := ""
	switch by := j.louder(); {
	case by != 0:
		c.Whole("the calls are %.2f LU %s than the plan wants", math.Abs(by), report.Either(by > 0, "louder", "softer"))
	default:
		c.Heard = 1
		if math.Abs(got-j.want.Target) > j.loudWithin() {
			held = ", held down by the peak"
		}
	}
	c.Text = fmt.Sprintf("%.2f LUFS over all calls, as from two speakers%s (limit %g ± %g)", got, held, j.want.Target, j.loudWithin())
	return c
}

// canHold is by how many LU the ceiling may hold the loudness down: only recordings
// with high peaks leave the limiter more to do than it does.
func (j *judge) canHold() float64 {
	over := j.crest + sentencesUnder + limiterTakes
	if j.want.Bed || len(j.want.Clicks) > 0 {
		over += clicksOver
	}
	return max(0, over-(j.want.Ceiling+maxLimited-j.want.Target))
}

func (j *judge) peak() report.Check {
	c := report.Check{Name: report.TruePeak, Due: 1, Heard: 1}
	got, limit := j.heard.Levels.Peak, j.want.Ceiling
	if j.heard.Recording.Lossy {
		limit += lossyPeak
	}
	if got > limit+0.005 {
		c.Heard = 0
		c.Whole("the true peak is %.2f dB over its limit", got-limit)
	}
	c.Text = fmt.Sprintf("%.2f dBTP (limit %g)", got, limit)
	if j.heard.Recording.Lossy {
		c.Text = fmt.Sprintf("%.2f dBTP decoded (limit %g: a ceiling of %g, and %g dB that decoding may add)", got, limit, j.want.Ceiling, lossyPeak)
	}
	return c
}

func (j *judge) clipping() report.Check {
	c := report.Check{Name: report.Clipping, Due: 1, Heard: 1, Text: "no flat tops"}
	for _, s := range j.heard.Levels.Flat {
		c.Heard = 0
		c.Fault(j.want, s.From, 0, "clipped: %d samples or more of one value at the top", s.To-s.From)
	}
	if n := len(j.heard.Levels.Flat); n > 0 {
		c.Text = fmt.Sprintf("%d flat tops (limit none)", n)
	}
	return c
}
