package cues

import (
	"slices"
	"time"

	"cuewright/cues/calls"
	"cuewright/cues/kind"
	"cuewright/cues/phrase"
	"cuewright/plan/class"
	"cuewright/plan/problem"
)

// reminderGuard is the least pause between a reminder and what is said next, so that it
// does not run into a call of the class.
const reminderGuard = 4 * time.Second

// reminders are the sentences that may fill a silence, the longest unused first.
type reminders struct {
	list  []sayable
	quiet time.Duration // class time since which nothing was said
	last  string
}

type sayable struct {
	phrase.Reminder
	spoken Spoken
}

// sayable are the reminders of the book that the voice can say.
func (p *placer) sayable() reminders {
	r := reminders{quiet: -p.class.Opening}
	if !slices.ContainsFunc(p.class.Segments, func(s class.Segment) bool { return s.Calls.Reminders.Value > 0 }) {
		return r
	}
	for _, x := range p.book.Reminders {
		if spoken, missing := p.voice.Measure(x.Text.Value); len(missing) == 0 {
			r.list = append(r.list, sayable{x, spoken})
		}
	}
	if len(r.list) == 0 && len(p.book.Reminders) > 0 {
		p.notes.add("reminders", problem.Problem{Severity: problem.Warning, Kind: leftOut, Pos: p.class.Plan.Calls.Reminders.Pos,
			Message: "the voice can say none of the reminders"})
	}
	return r
}

// pick takes the reminder that fits and has not been said for the longest time,
// and moves it to the end. A single fitting one is not said twice running.
func (r *reminders) pick(what string, room time.Duration) (sayable, bool) {
	for i, x := range r.list {
		if x.spoken.Length > room || x.Text.Value == r.last || !calls.Fits(x.Reminder, what) {
			continue
		}
		copy(r.list[i:], r.list[i+1:])
		r.list[len(r.list)-1] = x
		return x, true
	}
	return sayable{}, false
}

// remind fills the silences of a placed stretch: where nothing was said for the
// plan's time, a reminder starts, as early as that time has passed.
func (p *placer) remind(st *calls.Stretch, in room, placed []Cue) {
	r, seg := &p.reminders, &p.class.Segments[st.Segment]
	every := seg.Calls.Reminders.Value
	if seg.Target.Floor {
		every = 0
	}
	for i := 0; i <= len(placed); i++ {
		until := st.Start + in.to
		if i < len(placed) {
			until = placed[i].Start - reminderGuard
		}
		for every > 0 {
			at := max(r.quiet+every, st.Start+in.from)
			at = st.Start + time.Duration(ceilTick(at-st.Start))*tick
			x, ok := r.pick(calls.ReminderFor(seg), until-at)
			if !ok {
				break
			}
			p.list.Cues = append(p.list.Cues, Cue{Start: at, Length: x.spoken.Length, Lane: Speech, Kind: kind.Reminder,
				Text: x.Text.Value, Segment: st.Segment, Pos: seg.Pos})
			r.quiet, r.last = at+x.spoken.Length, x.Text.Value
		}
		if i < len(placed) {
			r.quiet = placed[i].End()
		}
	}
}

// heard notes when the last of the cues was over.
func (r *reminders) heard(placed []Cue) {
	for i := range placed {
		r.quiet = max(r.quiet, placed[i].End())
	}
}
