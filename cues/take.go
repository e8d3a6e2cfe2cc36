package cues

import (
	"cmp"
	"slices"
	"time"

	"cuewright/plan/class"
	"cuewright/plan/settings"
)

// selectAll sorts a list by time and has the voice speak it in that order.
func selectAll(l *List, voice Voice) {
	slices.SortStableFunc(l.Cues, func(a, b Cue) int { return cmp.Compare(order(&a), order(&b)) })
	for i := range l.Cues {
		SelectTakes(&l.Cues[i], l.Class, voice)
	}
}

// SelectTakes gives a cue its recordings and its true length, and a cue of the
// count its place: beeps start on the mark, counted words fall with their beat
// on it, so that their first sound stands a little before.
func SelectTakes(c *Cue, in *class.Class, voice Voice) {
	with := in.CountedWith(c.Mark)
	if c.Lane == Speech || with != settings.Beeps {
		spoken := voice.Select(c.Text)
		c.Clips, c.Length = spoken.Clips, spoken.Length
		if c.Lane == Speech {
			return
		}
		c.Start = c.Mark - spoken.Beat
		if with == settings.Words && !c.Long {
			return // no beep
		}
	} else {
		c.Start, c.Length = c.Mark, 0
	}
	tone := ShortTone
	if c.Long {
		tone = LongTone
	}
	end := max(c.End(), c.Mark+tone)
	c.Start = min(c.Start, c.Mark)
	c.Length = end - c.Start
}

// order is the time by which cues are sorted: a count by its mark.
func order(c *Cue) time.Duration {
	if c.Lane == CountLane {
		return c.Mark
	}
	return c.Start
}
