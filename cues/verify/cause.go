package verify

import (
	"fmt"
	"math"
	"slices"

	"cuewright/audio"
	"cuewright/cues/verify/container"
	"cuewright/cues/verify/report"
	"cuewright/plan/units"
)

// A cause is what may explain the faults of a track as a whole: whether it does, and how
// that is said.
type cause struct {
	holds bool
	words func() string
}

// looksLike finds one cause for what is wrong, the most telling first; "" for none.
func (j *judge) looksLike() string {
	for _, c := range j.causes() {
		if c.holds {
			return c.words()
		}
	}
	return ""
}

// causes are all there are, the most telling first.
func (j *judge) causes() []cause {
	var (
		d     = j.want
		rec   = j.heard.Recording
		tones = j.tones
		late  = tones.Median
		off   = float64(j.heard.Frames - d.Frames)
		ratio = float64(j.heard.Frames) / float64(d.Frames)
		heard = len(j.heard.Alignment.Heard)
		match = j.heard.Alignment.Matched
		cut   = j.heard.Alignment.Splice
		other = ""
	)
	if rec.Title != "" && rec.Title != d.Title {
		other = fmt.Sprintf("; its title is %q", rec.Title)
	}
	say := func(format string, args ...any) func() string {
		return func() string { return fmt.Sprintf(format, args...) }
	}
	from, mislabelled := mislabelled(ratio, rec.Rate)
	way := report.Either(late < 0, "early", "late")
	return []cause{
		{mislabelled && heard < len(d.Tones)/2, say("samples of %d frames a second labelled as %d: it plays %.1f %% too %s", from, rec.Rate,
			100*math.Abs(1/ratio-1), report.Either(ratio > 1, "slow", "fast"))},
		{cut.By != 0, say("a copy with about %.0f ms %s between %s and %s", math.Abs(d.InMS(float64(cut.By))), report.Either(cut.By > 0, "too much", "missing"),
			units.FormatClock(d.Clock(cut.After)), units.FormatClock(d.Clock(cut.Before)))},
		{heard == 0 && tones.Heard == 0 && len(d.Tones) > 0, say("no class at all: no steady tone of 1 kHz is heard in it%s", other)},
		{!d.Bed && heard >= 3 && match*2 < heard, // music may have such tones
			say("the track of another plan: of %d tones heard, %d are where this plan has one%s", heard, match, other)},
		{container.Copied(j.want, j.heard.Recording) && !rec.Lossy, say("a resampled copy: %d frames a second, the plan's track has %d", rec.Rate, d.Plan.Rate)},
		{tones.Alike && late < -1 && math.Abs(late-off) < float64(d.MS(2)), say("a trimmed copy: %s are missing at its front", report.Millis(d.InMS(late)))},
		{tones.Alike && late > 1 && (j.smeared() > 0 || rec.Lossy || delayed(late)),
			say("a lossy copy: all late by %s, which looks like an MP3 encoder's delay", report.Millis(d.InMS(late)))},
		{tones.Alike && math.Abs(late) > exactPlace, say("a shifted copy: all tones are %s by %s", way, report.Millis(d.InMS(late)))},
		{j.raisedFloor() && j.louder() != 0, func() string { return j.gainChanged() + ", with dither or hiss laid under everything" }},
		{j.raisedFloor(), say("a copy with dither or hiss laid under everything")},
		{j.smeared() > 0 && j.ringing() > d.MS(2), say("a lossy copy: weak sound is smeared into the silence around tones and calls, as MP3 and its like do")},
		{j.smeared() > 0, say("a resampled copy: sounds ring into the silence beside them")},
		{j.otherLength >= 2 && tones.Alike,
			say("this class with other words: its tones are in place, but %d calls last otherwise than due: another level, other targets or another voice%s", j.otherLength, other)},
		{other != "", say("the track of another plan%s", other)},
		{j.louder() != 0, j.gainChanged},
		{off < 0 && tones.Alike, say("a copy cut off at its end: %s are missing there", report.Millis(d.InMS(off)))},
	}
}

func (j *judge) gainChanged() string {
	return fmt.Sprintf("a copy turned %s by %.1f dB", report.Either(j.louder() > 0, "up", "down"), math.Abs(j.louder()))
}

// ringing is how long or how far from a due sound unwanted sound is, in one place of ten.
func (j *judge) ringing() int64 {
	var far []int64
	for _, s := range j.heard.Silence.Bursts {
		far = append(far, max(s.Edge, s.To-s.From))
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
