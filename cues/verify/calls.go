package verify

import (
	"fmt"
	"math"
	"slices"

	"cuewright/cues/verify/measure"
	"cuewright/cues/verify/report"
)

const (
	// Limits of where a call begins and ends, in ms. In digital silence the first
	// and last sample that is not zero tell: dither leaves one in four of those that
	// would be. Elsewhere only its level does, which swells and fades: the demo
	// voice ends up to 71 ms early by it.
	digitalEdge          = 2.0
	levelEarly, levelEnd = 15.0, 250.0

	// A call's loudest 400 ms may differ so much from the median of all, in LU. The
	// demo voice and two computer voices stay within 1.1; clicks and music add to it.
	callLoud, callLoudUnder = 3.0, 6.0
)

// digital tells whether silence is digital silence in this file, so that every sample of
// a call tells where it begins.
func (j *judge) digital() bool { return j.hearing.Limit == 0 && !j.want.Bed && j.smeared() == 0 }

// edges are the frames by which a call begins and ends late.
func (j *judge) edges(h measure.Call) (from, to float64) {
	if j.digital() {
		return h.Digital[0], h.Digital[1]
	}
	return h.Level[0], h.Level[1]
}

// calls judges the calls, spoken or counted.
func (j *judge) calls(counted bool) report.Check {
	c := report.Check{Name: report.Calls}
	if counted {
		c.Name = report.CountedWords
	}
	d := j.want
	var louds []float64
	for i, h := range j.heard.Calls {
		if d.Calls[i].Counted == counted && !h.Silent {
			louds = append(louds, h.Loudness)
		}
	}
	slices.Sort(louds)
	median := math.Inf(-1)
	if len(louds) > 0 {
		median = louds[len(louds)/2]
	}
	unheard := 20.0 // LU under the others
	if d.Bed {
		unheard = callLoudUnder // rather the music
	}
	loud := callLoud
	if d.Bed || len(d.Clicks) > 0 {
		loud = callLoudUnder
	}
	worst, edges := 0.0, 0
	for i, h := range j.heard.Calls {
		q := d.Calls[i]
		if q.Counted != counted {
			continue
		}
		c.Due++
		if h.Silent || h.Loudness < median-unheard {
			c.Fault(d, q.From, 0, "%s is not heard", q.Name)
			continue
		}
		startOpen, endOpen := d.Open(q.From, -1), d.Open(q.To, 1)
		from, to := j.edges(h)
		from, to = d.InMS(from), d.InMS(to)
		early, late := -digitalEdge, digitalEdge
		if !j.digital() {
			early, late = -levelEarly, levelEnd
		}
		if q.Counted { // placed by its beat
			early, late = early-0.1, late+0.1
		}
		wrongStart := startOpen && (from < early || from > late)
		wrongEnd := endOpen && (to > -early || to < -late)
		if startOpen {
			worst, edges = max(worst, math.Abs(from)), edges+1
		}
		if endOpen {
			worst, edges = max(worst, math.Abs(to)), edges+1
		}
		switch lasts := d.InMS(float64(q.To-q.From)) / 1000; {
		case wrongEnd && !wrongStart:
			j.otherLength++
			c.Fault(d, q.From, to, "%s should last %.2f s and is heard for %.2f s: another phrase?", q.Name, lasts, lasts+to/1000)
		case wrongStart:
			way := "late"
			if from < 0 {
				way = "early"
			}
			c.Fault(d, q.From, from, "%s begins %s %s", q.Name, report.Millis(from), way)
		case math.Abs(h.Loudness-median) > loud:
			c.Fault(d, q.From, 0, "%s is %+.1f LU beside the other calls (limit %g)", q.Name, h.Loudness-median, loud)
		case !startOpen && !endOpen && !d.Bed:
			c.Hidden++
		default:
			c.Heard++
		}
	}
	limit := fmt.Sprintf("%g ms", digitalEdge)
	if !j.digital() {
		limit = fmt.Sprintf("by their level: %g ms outside, %g inside", levelEarly, levelEnd)
	}
	if d.Bed {
		c.Text = fmt.Sprintf("%s: as loud as the others (limit ± %g LU); starts and ends not measurable here under the music", j.count(&c), loud)
		return c
	}
	c.Text = fmt.Sprintf("%s, starts and ends within %s of the list's (limit %s)", j.count(&c), report.Millis(worst), limit)
	return c
}
