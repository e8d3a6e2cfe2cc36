package cues

import (
	"slices"
	"time"

	"cuewright/cues/phrase"
	"cuewright/plan"
	"cuewright/plan/class"
	"cuewright/plan/problem"
	"cuewright/plan/strict"
)

// aside is the least pause between a reminder and what is said next, so that it
// does not run into a call of the class.
const aside = 4 * time.Second

// climbs is the incline, in tenths of a percent, from which a segment is a climb.
const climbs = 30

// reminders are the sentences that may fill a silence, the longest unused first.
type reminders []sayable

type sayable struct {
	phrase.Reminder
	spoken Spoken
}

// sayableReminders are those of the book that the voice can say.
func (s *scheduler) sayableReminders() reminders {
	var list reminders
	if s.plan.Calls.Reminders.Value == 0 {
		return nil
	}
	for _, r := range s.book.Reminders {
		spoken, missing := s.voice.Speak(r.Text.Value)
		if len(missing) > 0 {
			continue
		}
		list = append(list, sayable{r, spoken})
	}
	if len(list) == 0 && len(s.book.Reminders) > 0 {
		s.notes.add("reminders", problem.Problem{Severity: problem.Warning, Kind: "left-out", Pos: s.plan.Calls.Reminders.Pos,
			Message: "the voice can say none of the reminders"})
	}
	return list
}

// pick takes the reminder that fits and has not been said for the longest time,
// and moves it to the end. A single fitting one is not said twice running.
func (r reminders) pick(fits string, room time.Duration, last string) (sayable, bool) {
	for i, x := range r {
		if x.spoken.Length > room || x.Text.Value == last ||
			!slices.ContainsFunc(x.Fits, func(f strict.Text) bool { return f.Value == fits }) {
			continue
		}
		copy(r[i:], r[i+1:])
		r[len(r)-1] = x
		return x, true
	}
	return sayable{}, false
}

// mood is what kind of reminder fits a segment.
func mood(seg *class.Segment) string {
	switch {
	case seg.Part != plan.Main || seg.Between:
		return "easy"
	case seg.Target.HasIncline && seg.Target.Incline >= climbs:
		return "climb"
	}
	return "work"
}

// remind fills the silences of a placed stretch: where nothing was said for the
// plan's time, a reminder starts, as early as that time has passed.
func (s *scheduler) remind(st *stretch, placed []Cue) {
	every := s.plan.Calls.Reminders.Value
	end := st.start + st.to
	fits := mood(&s.class.Segments[st.segment])
	for i := 0; i <= len(placed); i++ {
		until := end
		if i < len(placed) {
			until = placed[i].Start - aside
		}
		for every > 0 {
			at := max(s.quiet+every, st.start+st.from)
			at = st.start + time.Duration(ceilTick(at-st.start))*tick
			x, ok := s.reminders.pick(fits, until-at, s.lastReminder)
			if !ok {
				break
			}
			s.list.Cues = append(s.list.Cues, Cue{Start: at, Length: x.spoken.Length, Lane: Speech, Kind: Reminder,
				Text: x.Text.Value, Segment: st.segment, Pos: s.class.Segments[st.segment].Pos})
			s.quiet, s.lastReminder = at+x.spoken.Length, x.Text.Value
		}
		if i < len(placed) {
			s.quiet = placed[i].End()
		}
	}
}

// quietAfter notes when the last of the cues was over.
func (s *scheduler) quietAfter(placed []Cue) {
	for i := range placed {
		s.quiet = max(s.quiet, placed[i].End())
	}
}
