// Package check finds what a coach would only find in the middle of a class. It
// looks at a list of cues as it will be heard and knows nothing of how the list
// was made, so that it judges an edited list as well as a placed one.
package check

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"time"

	"cuewright/audio/words"
	"cuewright/cues"
	"cuewright/cues/calls"
	"cuewright/cues/kind"
	"cuewright/cues/kind/claim"
	"cuewright/plan/class"
	"cuewright/plan/class/role"
	"cuewright/plan/problem"
	"cuewright/plan/units"
	"cuewright/plan/value"
)

// What the checks find. Those with a capital are of what is not there.
const (
	overlap   problem.Kind = "overlap"
	crowded   problem.Kind = "crowded"
	cutOff    problem.Kind = "cut-off"
	late      problem.Kind = "late"
	untrue    problem.Kind = "untrue"
	Unwarned  problem.Kind = "unwarned"
	Uncounted problem.Kind = "uncounted"
	// Unconfirmed is a change whose numbers are not heard when the keys are pressed.
	Unconfirmed problem.Kind = "unconfirmed"
	Gap         problem.Kind = "gap"
)

// Limits of the checks.
const (
	// room is how long a segment lasts at least so that a warning could be early.
	room = 20 * time.Second
	// heardPause is the least pause between two sentences; shorter silences are not
	// heard as pauses but as closures within a phrase (Campione and Véronis 2002
	// count pauses of speech from about 200 ms: testdata/reference/speech/values.csv).
	heardPause = 200 * time.Millisecond
)

// List returns everything wrong with a list of cues, sorted.
func List(l *cues.List, voice cues.Voice) []problem.Problem {
	c := &checker{l: l, voice: voice, class: l.Class, marks: map[time.Duration]*cues.Cue{},
		isEdited: slices.ContainsFunc(l.Cues, func(q cues.Cue) bool { return q.File != l.Class.Plan.File })}
	for i := range l.Cues {
		cue := &l.Cues[i]
		c.sounds = append(c.sounds, cue)
		if cue.Lane == cues.CountLane {
			c.marks[cue.Mark] = cue
		}
	}
	slices.SortStableFunc(c.sounds, func(a, b *cues.Cue) int { return cmp.Compare(a.Start, b.Start) })
	c.overlaps()
	c.cutOff()
	c.changes()
	c.truth()
	if c.isEdited {
		c.edited()
		c.counts()
	}
	c.gaps()
	problem.Sort(c.problems)
	return c.problems
}

type checker struct {
	l        *cues.List
	voice    cues.Voice
	class    *class.Class
	sounds   []*cues.Cue                 // by the start of their sound
	marks    map[time.Duration]*cues.Cue // the count, by the second it counts
	isEdited bool                        // whether the list is another than the plan's own
	problems []problem.Problem
}

// report reports a problem of the plan at a place of it.
func (c *checker) report(s problem.Severity, kind problem.Kind, pos problem.Pos, at, lasts time.Duration, format string, args ...any) {
	c.problems = append(c.problems, problem.Problem{Severity: s, Kind: kind, File: c.class.Plan.File, Pos: pos,
		Timed: true, At: at, Lasts: lasts, Message: fmt.Sprintf(format, args...)})
}

// about reports a problem of one cue, as long as it sounds.
func (c *checker) about(cue *cues.Cue, s problem.Severity, kind problem.Kind, format string, args ...any) {
	c.aboutPart(cue, cue.Length, s, kind, format, args...)
}

// aboutPart reports a problem of the beginning of a cue.
func (c *checker) aboutPart(cue *cues.Cue, lasts time.Duration, s problem.Severity, kind problem.Kind, format string, args ...any) {
	c.problems = append(c.problems, problem.Problem{Severity: s, Kind: kind, File: cue.File, Pos: cue.Pos,
		Timed: true, At: cue.Start, Lasts: lasts, Message: fmt.Sprintf(format, args...)})
}

// seconds writes a length for messages.
func seconds(d time.Duration) string { return fmt.Sprintf("%.2f s", d.Seconds()) }

// name is how a message speaks of a cue.
func name(cue *cues.Cue) string {
	switch {
	case cue.Lane == cues.Speech:
		return strconv.Quote(cue.Text)
	case cue.Long:
		return "the mark of the change"
	}
	return "the count of " + strconv.Quote(cue.Text)
}

// overlaps finds sounds that share time, and sentences with no pause between.
func (c *checker) overlaps() {
	var before *cues.Cue // the one that ends last so far
	for _, cue := range c.sounds {
		if before != nil {
			switch pause := cue.Start - before.End(); {
			case pause < 0:
				shared := min(-pause, cue.Length)
				c.aboutPart(cue, shared, problem.Error, overlap, "%s and %s share %s", name(before), name(cue), seconds(shared))
			case pause < heardPause && before.Lane == cues.Speech && cue.Lane == cues.Speech:
				c.aboutPart(cue, 0, problem.Warning, crowded, "only %s between %s and %s", seconds(pause), name(before), name(cue))
			}
		}
		if before == nil || cue.End() > before.End() {
			before = cue
		}
	}
}

// walls are the class times of all changes: each segment's start, and the end.
func (c *checker) walls() []time.Duration {
	var walls []time.Duration
	for _, s := range c.class.Segments {
		walls = append(walls, s.Start)
	}
	return append(walls, c.class.Length)
}

// cutOff finds sentences that run across a change or out of the track.
func (c *checker) cutOff() {
	walls := c.walls()
	for i := range c.l.Cues {
		cue := &c.l.Cues[i]
		if cue.Lane != cues.Speech {
			continue
		}
		k, _ := slices.BinarySearch(walls, cue.Start+1)
		switch end := c.class.Length + c.class.Closing; {
		case k < len(walls) && cue.End() > walls[k]:
			c.about(cue, problem.Error, cutOff, "%s runs %s across the change at %s", name(cue), seconds(cue.End()-walls[k]), units.FormatClock(walls[k]))
		case cue.End() > end:
			c.about(cue, problem.Error, cutOff, "%s runs %s past the end of the track", name(cue), seconds(cue.End()-end))
		case cue.Start < -c.class.Opening:
			c.about(cue, problem.Error, cutOff, "%s starts %s before the track does", name(cue), seconds(-c.class.Opening-cue.Start))
		}
	}
}

// changes looks at every change: is it warned of, in time, and counted?
func (c *checker) changes() {
	walls := c.walls()
	for i, at := range walls {
		before := -c.class.Opening
		if i > 0 {
			before = walls[i-1]
		}
		counted, first := c.counted(at, before)
		c.warned(i, before, at, first)
		c.confirmed(i, at)
		place := c.segment(i)
		from := c.class.Into(i - 1).Count.From.Value
		want := min(from, 3)
		if counted < 0 {
			c.report(problem.Error, Uncounted, place, at, 0, "%s has no mark on it", c.describe(i))
		} else if counted < want {
			c.report(problem.Error, Uncounted, place, at, 0, "%s: %s of the %d seconds before it are counted, at least %d should be",
				c.describe(i), number(counted), from, want)
		} else if hole := c.hole(at, before, from, counted); hole > 0 {
			word, _ := c.l.Book.Cardinal(int64(hole))
			c.report(problem.Error, Uncounted, place, at, 0, "%s: the count leaves out %q", c.describe(i), word)
		}
	}
}

func number(n int) string {
	if n == 0 {
		return "none"
	}
	return fmt.Sprint(n)
}

// segment is where the plan speaks of change i.
func (c *checker) segment(i int) problem.Pos {
	return c.class.Segments[min(i, len(c.class.Segments)-1)].Pos
}

// describe names change i for a message.
func (c *checker) describe(i int) string {
	n := len(c.class.Segments)
	if i == n {
		return "the end of the class"
	}
	if e := c.class.Segments[i].Effort; e != "" {
		return fmt.Sprintf("the change to %q (segment %d of %d)", e, i+1, n)
	}
	return fmt.Sprintf("the change to segment %d of %d", i+1, n)
}

// counted returns how many seconds before the change at time at are counted
// without a hole, and when the first of them sounds. Without a mark on the
// change itself nothing is counted, and the result is negative.
func (c *checker) counted(at, after time.Duration) (n int, first time.Duration) {
	first = at
	if c.marks[at] == nil {
		return -1, at
	}
	for k := 1; ; k++ {
		m := at - time.Duration(k)*time.Second
		if c.marks[m] == nil || m <= after || c.marks[m].Long {
			return k - 1, first
		}
		first = c.marks[m].Start
	}
}

// warned looks for everything that changes at change i in the sentences that
// are wholly spoken between the change before and the count.
func (c *checker) warned(i int, before, at, count time.Duration) {
	var heard []*cues.Cue
	k, _ := slices.BinarySearchFunc(c.sounds, before, func(cue *cues.Cue, t time.Duration) int { return cmp.Compare(cue.Start, t) })
	for ; k < len(c.sounds) && c.sounds[k].Start < count; k++ {
		if cue := c.sounds[k]; cue.Lane == cues.Speech && cue.End() <= count {
			heard = append(heard, cue)
		}
	}
	segments := c.class.Segments
	var needed []string
	if i < len(segments) {
		var from *class.Target
		if i > 0 {
			from = &segments[i-1].Target
		}
		needed = c.l.Book.Change(c.class.Units, c.class.Step, from, segments[i].Target).Parts
	}
	var missing []string
	for _, part := range needed {
		if !slices.ContainsFunc(heard, func(cue *cues.Cue) bool {
			return words.Find(words.Of(cue.Text), words.Of(part)) >= 0
		}) {
			missing = append(missing, part)
		}
	}
	ahead := slices.IndexFunc(heard, func(cue *cues.Cue) bool { return cue.Kind == kind.Ahead })
	switch {
	case len(missing) > 0:
		c.report(problem.Error, Unwarned, c.segment(i), at, 0, "%s: %s not spoken between the change before and the count",
			c.describe(i), quoteAll(missing))
	case ahead < 0 && (i == len(segments) || segments[i].Target.Floor):
		c.report(problem.Error, Unwarned, c.segment(i), at, 0, "%s is not warned of before the count", c.describe(i))
	case i > 0 && i < len(segments) && segments[i-1].Target.Floor && !segments[i].Target.Floor &&
		!slices.ContainsFunc(heard, func(cue *cues.Cue) bool { return cue.Kind == kind.Return }):
		c.report(problem.Error, Unwarned, c.segment(i), at, 0, "%s: nobody is called back to the belt before it", c.describe(i))
	case ahead >= 0 && at-heard[ahead].Start < cues.Early && at-before >= room:
		c.about(heard[ahead], problem.Warning, late, "%s starts %s before the change, 10 s are usual", name(heard[ahead]), seconds(at-heard[ahead].Start))
	}
}

// confirmed looks for the numbers of change i in what is said right after it.
func (c *checker) confirmed(i int, at time.Duration) {
	if i == len(c.class.Segments) || c.class.Segments[i].Length < calls.ConfirmSpeed {
		return
	}
	s := &c.class.Segments[i]
	change := calls.Changed(c.class, c.l.Book, i)
	by := calls.ConfirmBy(s.Target)
	var heard []*cues.Cue
	k, _ := slices.BinarySearchFunc(c.sounds, at, func(cue *cues.Cue, t time.Duration) int { return cmp.Compare(cue.Start, t) })
	for ; k < len(c.sounds) && c.sounds[k].Start <= at+by; k++ {
		if cue := c.sounds[k]; cue.Lane == cues.Speech && cue.End() <= at+by {
			heard = append(heard, cue)
		}
	}
	var missing []string
	for k, part := range change.Parts {
		if k > 0 && s.Length < calls.ConfirmAll || slices.ContainsFunc(heard, func(cue *cues.Cue) bool {
			said := words.Of(cue.Text)
			return words.Find(said, words.Of(part)) >= 0 || len(change.Parts) == 1 && slices.Equal(said, words.Of(change.Speed))
		}) {
			continue
		}
		missing = append(missing, part)
	}
	if len(missing) == 0 {
		return
	}
	severity := problem.Error
	if c.isEdited {
		severity = problem.Warning
	}
	c.report(severity, Unconfirmed, s.Pos, at, 0, "%s: %s not spoken within %s after it: a longer segment, a shorter count, single numbers (a level), a row of an edited list or calls: {confirm: none} would do",
		c.describe(i), quoteAll(missing), units.FormatDuration(by))
}

func quoteAll(texts []string) string {
	out := ""
	for i, t := range texts {
		if i > 0 {
			out += " and "
		}
		out += strconv.Quote(t)
	}
	if len(texts) > 1 {
		return out + " are"
	}
	return out + " is"
}

// truth compares what is said about the time that remains with the time that
// remains when it is heard.
func (c *checker) truth() {
	walls := c.walls()
	for i := range c.l.Cues {
		cue := &c.l.Cues[i]
		if !cue.Kind.Has(claim.Remaining) {
			continue
		}
		said, ok := c.timeSaid(cue)
		if !ok {
			continue
		}
		k, _ := slices.BinarySearch(walls, cue.Start+1)
		if k == len(walls) {
			continue // after the end: cut-off or nothing to be true about
		}
		spoken, _ := c.voice.Measure(cue.Text)
		for _, heard := range []time.Duration{spoken.When[said.Word].From, spoken.When[said.Word].To} {
			remains := walls[k] - cue.Start - heard
			if off := remains - said.Time; off > cues.Tolerance || off < -cues.Tolerance {
				c.about(cue, problem.Error, untrue, "%s is heard %s before the change", name(cue), seconds(remains))
				break
			}
		}
	}
}

// timeSaid is the length of time that a cue speaks of: the one it was worded with, or of
// a row that was edited the first in its text, where the name of an effort is none.
func (c *checker) timeSaid(cue *cues.Cue) (cues.Claim, bool) {
	if cue.Says.Time > 0 || cue.File == c.class.Plan.File {
		return cue.Says, cue.Says.Time > 0
	}
	spoken, _ := c.voice.Measure(cue.Text)
	said := slices.Clone(spoken.Words)
	if cue.Kind != kind.Left { // "two minutes left" is about the time, whatever an effort is called
		for _, effort := range c.class.Plan.Efforts.Keys {
			name := words.Of(effort.Value)
			for i := words.Find(said, name); i >= 0 && len(name) > 0; i = words.Find(said, name) {
				clear(said[i : i+len(name)])
			}
		}
	}
	d, word, ok := c.l.Book.TimeIn(said)
	return cues.Claim{Word: word, Time: d}, ok
}

// gaps finds stretches in which neither speech nor count is heard for too long.
func (c *checker) gaps() {
	since, least := -c.class.Opening, c.class.Plan.Calls.Quiet.Value
	for i := range c.class.Segments {
		least = min(least, c.class.Segments[i].Calls.Quiet.Value)
	}
	roles := role.Of(c.class)
	look := func(until time.Duration) {
		if until-since <= least {
			return
		}
		quiet, pos := c.class.Plan.Calls.Quiet.Value, c.class.Plan.Class.Pos
		for i := range c.class.Segments {
			if s := &c.class.Segments[i]; s.Start < until && since < s.End() {
				if s.Target.Floor {
					return // what is done there is the coach's own
				}
				its := s.Calls.Quiet.Value
				if roles[i].Role == value.Work {
					its *= 2 // who works hard is left alone
				}
				quiet = max(quiet, its) // a silence may reach into a segment that has longer ones
				if s.Start <= since {
					quiet, pos = its, s.Pos
				}
			}
		}
		if until-since > quiet {
			c.report(problem.Warning, Gap, pos, since, until-since, "nothing is said for %s, more than %s (quiet)",
				units.FormatLength((until - since).Round(100*time.Millisecond)), units.FormatDuration(quiet))
		}
	}
	for _, cue := range c.sounds {
		look(cue.Start)
		since = max(since, cue.End())
	}
	look(c.class.Length + c.class.Closing)
}
