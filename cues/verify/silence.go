package verify

import (
	"fmt"
	"math"
	"slices"
	"time"

	"cuewright/cues/verify/container"
	"cuewright/cues/verify/expect"
	"cuewright/cues/verify/measure"
	"cuewright/cues/verify/onset"
	"cuewright/cues/verify/recording"
	"cuewright/cues/verify/report"
	"cuewright/plan/units"
)

// hearingFor is how silence is listened to: the level that a silent stretch may have, and
// the frames beside sounds that are left out.
func hearingFor(rec *recording.Recording, e *expect.Expected) measure.Hearing {
	switch {
	case rec.Lossy:
		return measure.Hearing{Limit: math.Pow(10, lossySilence/20), Guard: e.MS(lossyGuard)}
	case e.Noise:
		return measure.Hearing{Limit: math.Pow(10, noiseSilence/20), Guard: e.MS(1)}
	case container.Copied(e, rec):
		return measure.Hearing{Limit: math.Pow(10, copySilence/20), Guard: e.MS(1)}
	}
	return measure.Hearing{}
}

const (
	// noiseSilence lies over dither to 16 bit, whose RMS is -96.3 dBFS.
	noiseSilence = -85.0
	copySilence  = -80.0
	// A sample as MP3 of 64 to 192 kbit/s, AAC of 96 and Opus of 64 stays under this
	// beyond the guard around sounds.
	lossySilence = -55.0
	lossyGuard   = 60 // ms
	// maxZero is how long digital silence may last where a floor is due, in ms:
	// dither of 16 bit is zero in 3 frames of 4, hardly ever for so long.
	maxZero = 5
)

func decibels(x float64) float64 { return 20 * math.Log10(x) }

func (j *judge) silence() report.Check {
	c := report.Check{Name: report.Silence}
	s := &j.heard.Silence
	limit := "digital zero"
	if j.hearing.Limit > 0 {
		limit = fmt.Sprintf("under %.0f dBFS", decibels(j.hearing.Limit))
	}
	c.Due = len(s.Spans)
	dirty := map[int]bool{}
	for _, v := range s.Bursts {
		k, _ := slices.BinarySearchFunc(s.Spans, v.From, func(a expect.Span, t int64) int { return int(min(max(a.To-1-t, -1), 1)) })
		dirty[k] = true
	}
	c.Heard = c.Due - len(dirty)
	if j.raisedFloor() {
		c.Whole("weak sound fills the silence, up to %.0f dBFS", decibels(j.loudestBurst()))
	} else if edges := j.smeared(); edges > 0 {
		c.Whole("in %d places it is not silent beside sounds, up to %.0f dBFS", edges, decibels(j.loudestBurst()))
	} else {
		for _, v := range s.Bursts {
			c.Fault(j.want, v.From, 0, "sound where silence is due, for %s, up to %.0f dBFS", report.Millis(j.want.InMS(float64(v.To-v.From))), decibels(v.Max))
		}
	}
	c.Text = fmt.Sprintf("%d of %d stretches silent, %s in all (limit %s)", c.Heard, c.Due, units.FormatLength(j.want.Time(s.Frames).Round(time.Second)), limit)
	if !j.heard.Recording.Lossy && j.want.Noise && s.LongestZero.To-s.LongestZero.From > j.want.MS(maxZero) {
		c.Fault(j.want, s.LongestZero.From, 0, "digital silence of %s where the plan wants a floor of noise", report.Millis(j.want.InMS(float64(s.LongestZero.To-s.LongestZero.From))))
	}
	return c
}

// smeared is in how many places a copy's traces are found: weak sound beside
// the sounds that are due. 0 where it is something else.
func (j *judge) smeared() int {
	weak := 0
	for _, s := range j.heard.Silence.Bursts {
		if decibels(s.Max) < weakBurst {
			weak++
		}
	}
	if n := len(j.heard.Silence.Bursts); j.hearing.Limit > 0 || n < 3 || weak*10 < n*9 || n*20 < len(j.heard.Silence.Spans) {
		return 0
	}
	return weak
}

// raisedFloor tells whether weak sound fills most of the silence.
func (j *judge) raisedFloor() bool {
	var soiled int64
	for _, s := range j.heard.Silence.Bursts {
		soiled += s.To - s.From
	}
	return j.smeared() > 0 && soiled > j.heard.Silence.Frames/2
}

const weakBurst = -35.0 // dBFS; -65 was the most that MP3 of 64 kbit/s left

func (j *judge) loudestBurst() float64 {
	most := 0.0
	for _, s := range j.heard.Silence.Bursts {
		most = max(most, s.Max)
	}
	return most
}

// pauses looks at what is heard of the coach, calls and tones, for overlaps and gaps.
func (j *judge) pauses() report.Check {
	c := report.Check{Name: report.Pauses}
	type piece struct {
		due, heard expect.Span
		name       string
	}
	var all []piece
	for i, h := range j.heard.Calls {
		q := j.want.Calls[i]
		if from, to := j.edges(h); !h.Silent {
			all = append(all, piece{q.Span, expect.Span{From: q.From + int64(from), To: q.To + int64(to)}, q.Name})
		}
	}
	median, limit := onset.MedianGain(j.heard.Tones), j.placeLimit()
	for i, s := range j.want.Tones {
		if v := onset.Judge(j.want, &j.want.Tones[i], &j.heard.Tones[i], median, limit, j.heard.Recording.Lossy); v == onset.Placed || v == onset.Covered || v == onset.Hidden {
			off := int64(math.Round(j.heard.Tones[i].Off))
			all = append(all, piece{s.Span, expect.Span{From: s.From + off, To: s.To + off}, s.Name})
		}
	}
	slices.SortStableFunc(all, func(a, b piece) int { return int(a.due.From - b.due.From) })
	quiet := j.want.Quiet
	end := piece{due: expect.Span{From: j.want.Frames, To: j.want.Frames}, heard: expect.Span{From: j.want.Frames, To: j.want.Frames}}
	var last piece
	least, most := time.Duration(math.MaxInt64), time.Duration(0)
	for _, p := range append(all, end) {
		c.Due++
		rate := j.want
		dueGap, gap := rate.Time(p.due.From-last.due.To), rate.Time(p.heard.From-last.heard.To)
		switch {
		case gap < 0 && dueGap >= 0 && last.name != "" && p.name != "":
			c.Fault(j.want, p.due.From, 0, "%s runs into %s", last.name, p.name)
		case gap > quiet && gap > dueGap+slack:
			c.Fault(j.want, last.due.To, 0, "nothing is heard of the coach for %.1f s (limit %s)", gap.Seconds(), units.FormatDuration(quiet))
		default:
			c.Heard++
		}
		if last.name != "" && p.name != "" && dueGap >= 0 {
			least = min(least, gap)
		}
		most = max(most, gap)
		if p.due.To > last.due.To {
			last = p
		}
	}
	c.Text = fmt.Sprintf("no overlap; the longest without call or tone %.1f s (limit %s)", most.Seconds(), units.FormatDuration(quiet))
	if least < math.MaxInt64 {
		c.Text = fmt.Sprintf("between calls and tones at least %.2f s, at most %.1f s (limits 0 and %s)", least.Seconds(), most.Seconds(), units.FormatDuration(quiet))
	}
	return c
}

// slack is by how much a gap heard may be longer than in the list, which has told
// of its own gaps before.
const slack = 300 * time.Millisecond
