package verify

import (
	"fmt"
	"math"
	"slices"
	"time"

	"cuewright/audio"
	"cuewright/plan/units"
)

func (l *listening) silence() Check {
	c := Check{Name: "silence"}
	s := l.silent
	limit := "digital zero"
	if s.limit > 0 {
		limit = fmt.Sprintf("under %.0f dBFS", decibels(s.limit))
	}
	c.Due = len(s.spans)
	dirty := map[int]bool{}
	for _, v := range s.soiled {
		k, _ := slices.BinarySearchFunc(s.spans, v.from, func(a span, t int64) int { return int(min(max(a.to-1-t, -1), 1)) })
		dirty[k] = true
	}
	c.Heard = c.Due - len(dirty)
	if l.hissing() {
		c.whole("weak sound fills the silence, up to %.0f dBFS", decibels(l.loudestSoil()))
	} else if edges := l.soiledEdges(); edges > 0 {
		c.whole("in %d places it is not silent beside sounds, up to %.0f dBFS", edges, decibels(l.loudestSoil()))
	} else {
		for _, v := range s.soiled {
			c.fault(l.due, v.from, 0, "sound where silence is due, for %s, up to %.0f dBFS", millis(l.due.inMS(float64(v.to-v.from))), decibels(v.most))
		}
	}
	c.Text = fmt.Sprintf("%d of %d stretches silent, %s in all (limit %s)", c.Heard, c.Due, units.FormatLength(l.due.rate.Length(s.frames).Round(time.Second)), limit)
	if !l.rec.Lossy && s.noise && s.hush.to-s.hush.from > l.due.ms(hushed) {
		c.fault(l.due, s.hush.from, 0, "digital silence of %s where the plan wants a floor of noise", millis(l.due.inMS(float64(s.hush.to-s.hush.from))))
	}
	return c
}

// soiledEdges is in how many places a copy's traces are found: weak sound beside
// the sounds that are due. 0 where it is something else.
func (l *listening) soiledEdges() int {
	weak := 0
	for _, s := range l.silent.soiled {
		if decibels(s.most) < weakSoil {
			weak++
		}
	}
	if n := len(l.silent.soiled); l.silent.limit > 0 || n < 3 || weak*10 < n*9 || n*20 < len(l.silent.spans) {
		return 0
	}
	return weak
}

// hissing tells whether weak sound fills most of the silence.
func (l *listening) hissing() bool {
	var soiled int64
	for _, s := range l.silent.soiled {
		soiled += s.to - s.from
	}
	return l.soiledEdges() > 0 && soiled > l.silent.frames/2
}

const weakSoil = -35.0 // dBFS; -65 was the most that MP3 of 64 kbit/s left

func (l *listening) loudestSoil() float64 {
	most := 0.0
	for _, s := range l.silent.soiled {
		most = max(most, s.most)
	}
	return most
}

// pauses looks at what is heard of the coach, calls and tones, for overlaps and gaps.
func (l *listening) pauses() Check {
	c := Check{Name: "pauses"}
	type piece struct {
		due, heard span
		name       string
	}
	var all []piece
	for i, h := range l.callEar.heard {
		q := l.due.calls[i]
		if from, to := l.callEar.edges(h); !h.silent {
			all = append(all, piece{q.span, span{q.from + int64(from), q.to + int64(to)}, q.name})
		}
	}
	usual, limit := l.tones.usual(), l.placeLimit()
	for i, s := range l.tones.sounds {
		if v := l.tones.judge(i, usual, limit, l.rec.Lossy); v == placed || v == covered || v == hidden {
			off := int64(math.Round(l.tones.fits[i].Off))
			all = append(all, piece{s.span, span{s.from + off, s.to + off}, s.name})
		}
	}
	slices.SortStableFunc(all, func(a, b piece) int { return int(a.due.from - b.due.from) })
	quiet := l.list.Class.Plan.Calls.Quiet.Value
	end := piece{due: span{l.due.frames, l.due.frames}, heard: span{l.due.frames, l.due.frames}}
	var last piece
	least, most := time.Duration(math.MaxInt64), time.Duration(0)
	for _, p := range append(all, end) {
		c.Due++
		rate := l.due.rate
		dueGap, gap := rate.Length(p.due.from-last.due.to), rate.Length(p.heard.from-last.heard.to)
		switch {
		case gap < 0 && dueGap >= 0 && last.name != "" && p.name != "":
			c.fault(l.due, p.due.from, 0, "%s runs into %s", last.name, p.name)
		case gap > quiet && gap > dueGap+slack:
			c.fault(l.due, last.due.to, 0, "nothing is heard of the coach for %.1f s (limit %s)", gap.Seconds(), units.FormatDuration(quiet))
		default:
			c.Heard++
		}
		if last.name != "" && p.name != "" && dueGap >= 0 {
			least = min(least, gap)
		}
		most = max(most, gap)
		if p.due.to > last.due.to {
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

// looksLike finds one cause for what is wrong, the most telling first.
func (l *listening) looksLike() string {
	var (
		d     = l.due
		tones = l.errors["tones"]
		late  = tones.median
		off   = float64(l.frames - d.frames)
		ratio = float64(l.frames) / float64(d.frames)
		heard = len(l.lay.heard)
		want  = audio.Rate(l.list.Class.Plan.Track.Rate.Value)
		other = ""
	)
	if l.rec.Title != "" && l.rec.Title != l.list.Title {
		other = fmt.Sprintf("; its title is %q", l.rec.Title)
	}
	if from, ok := mislabelled(ratio, l.rec.Rate); ok && heard < len(d.tones)/2 {
		return fmt.Sprintf("samples of %d frames a second labelled as %d: it plays %.1f %% too %s", from, l.rec.Rate,
			100*math.Abs(1/ratio-1), map[bool]string{true: "slow", false: "fast"}[ratio > 1])
	}
	switch {
	case l.lay.seam.by != 0:
		s := l.lay.seam
		return fmt.Sprintf("a copy with about %.0f ms %s between %s and %s", math.Abs(d.inMS(float64(s.by))), map[bool]string{true: "too much", false: "missing"}[s.by > 0],
			units.FormatClock(d.clock(s.after)), units.FormatClock(d.clock(s.before)))
	case heard == 0 && tones.heard == 0 && len(d.tones) > 0:
		return "no class at all: no steady tone of 1 kHz is heard in it" + other
	case !d.bed && heard >= 3 && l.lay.matched*2 < heard: // music may have such tones
		return fmt.Sprintf("the track of another plan: of %d tones heard, %d are where this plan has one%s", heard, l.lay.matched, other)
	case l.copied() && !l.rec.Lossy:
		return fmt.Sprintf("a resampled copy: %d frames a second, the plan's track has %d", l.rec.Rate, want)
	case tones.alike && late < -1 && math.Abs(late-off) < float64(d.ms(2)):
		return fmt.Sprintf("a trimmed copy: %s are missing at its front", millis(d.inMS(late)))
	case tones.alike && late > 1 && (l.soiledEdges() > 0 || l.rec.Lossy || delayed(late)):
		return fmt.Sprintf("a lossy copy: all late by %s, which looks like an MP3 encoder's delay", millis(d.inMS(late)))
	case tones.alike && math.Abs(late) > exactPlace:
		way := "late"
		if late < 0 {
			way = "early"
		}
		return fmt.Sprintf("a shifted copy: all tones are %s by %s", way, millis(d.inMS(late)))
	case l.hissing() && l.louder != 0:
		return fmt.Sprintf("%s, with dither or hiss laid under everything", l.turned())
	case l.hissing():
		return "a copy with dither or hiss laid under everything"
	case l.soiledEdges() > 0 && l.farSoil() > d.ms(2):
		return "a lossy copy: weak sound is smeared into the silence around tones and calls, as MP3 and its like do"
	case l.soiledEdges() > 0:
		return "a resampled copy: sounds ring into the silence beside them"
	case l.otherLength >= 2 && tones.alike:
		return fmt.Sprintf("this class with other words: its tones are in place, but %d calls last otherwise than due: another level, other targets or another voice%s", l.otherLength, other)
	case other != "":
		return "the track of another plan" + other
	case l.louder != 0:
		return l.turned()
	case off < 0 && tones.alike:
		return fmt.Sprintf("a copy cut off at its end: %s are missing there", millis(d.inMS(off)))
	}
	return ""
}

func (l *listening) turned() string {
	return fmt.Sprintf("a copy turned %s by %.1f dB", map[bool]string{true: "up", false: "down"}[l.louder > 0], math.Abs(l.louder))
}

// farSoil is how long or how far from a due sound unwanted sound is, in one place of ten.
func (l *listening) farSoil() int64 {
	var far []int64
	for _, s := range l.silent.soiled {
		far = append(far, max(s.edge, s.to-s.from))
	}
	slices.Sort(far)
	return far[len(far)*9/10]
}

// mislabelled finds the rate of samples that were given another one's name: the
// file is longer or shorter by the ratio of two usual rates.
func mislabelled(ratio float64, label audio.Rate) (from audio.Rate, ok bool) {
	for _, r := range []audio.Rate{22050, 24000, 32000, 44100, 48000, 88200, 96000} {
		if want := float64(r) / float64(label); r != label && math.Abs(ratio/want-1) < 1e-4 {
			return r, true
		}
	}
	return 0, false
}

// delayed tells whether frames are the delay of an MP3 encoder and decoder: 528 + 1
// frames of the decoder, and 576 or 1152 with what the encoder says of itself (LAME's
// documentation of its tag; 1105 frames are usual, 25 ms at 44.1 kHz).
func delayed(frames float64) bool { return frames > 500 && frames < 2400 }
