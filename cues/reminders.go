package cues

import (
	"hash/fnv"
	"math/rand/v2"
	"slices"
	"time"

	"cuewright/cues/calls"
	"cuewright/cues/kind"
	"cuewright/cues/phrase"
	"cuewright/plan/class/role"
	"cuewright/plan/problem"
	"cuewright/plan/value"
)

const (
	// reminderGuard is the least pause between a reminder and what is said next, so that it
	// does not run into a call of the class.
	reminderGuard = 4 * time.Second
	// again is how long a text is not said again: silence is better. A rule of ours.
	again = 8 * time.Minute
	// shortest is about how long the shortest reminder takes.
	shortest = 1500 * time.Millisecond
	// countedFrom is from when on a segment counts for how many reminders work gets beside the rest of the class.
	countedFrom = 90 * time.Second
)

// A silence is a stretch that was placed, into which reminders may go.
type silence struct {
	stretch *calls.Stretch
	room    room
	placed  []Cue
}

// reminders are the sentences that may fill silences, and when each was said.
type reminders struct {
	spoken map[string]Spoken // of the texts that the voice can say
	said   map[string][]time.Duration
	draw   *rand.Rand
	// waits counts how long the silences before them were, in steps of [even].
	waits map[time.Duration]int
	total int
}

// even is how fine silences are told apart, and most the share of them that may be alike, once there are some: a coach is no
// clock.
const (
	even = 2 * time.Second
	most = 0.2
)

func bin(wait time.Duration) time.Duration { return wait.Round(even) / even }

// wait draws how long a silence lasts before a reminder: one of those that were least often, none where all of them were too
// often already.
func (r *reminders) wait(least, longest time.Duration) (time.Duration, bool) {
	var best []time.Duration
	fewest := 0
	for d := least; d <= longest; d += time.Second / 2 {
		switch n := r.waits[bin(d)]; {
		case len(best) == 0 || n < fewest:
			best, fewest = []time.Duration{d}, n
		case n == fewest:
			best = append(best, d)
		}
	}
	if len(best) == 0 || fewest >= max(2, int(most*float64(r.total+1))) {
		return 0, false
	}
	return best[r.draw.IntN(len(best))], true
}

// remind fills the silences of a class: first those of easy times, then those of work, which gets at most half as many a
// minute. How long a silence lasts before one varies, the same way for the same class.
func (p *placer) remind() {
	seed := fnv.New64a()
	seed.Write([]byte(p.class.Plan.Class.Value))
	r := &reminders{spoken: map[string]Spoken{}, said: map[string][]time.Duration{}, waits: map[time.Duration]int{}, draw: rand.New(rand.NewPCG(seed.Sum64(), 0))}
	wanted, measured := false, map[string]bool{}
	for _, s := range p.silences {
		for _, x := range s.stretch.Reminders {
			wanted = true
			if measured[x.Text.Value] {
				continue
			}
			measured[x.Text.Value] = true
			if spoken, missing := p.voice.Measure(x.Text.Value); len(missing) == 0 {
				r.spoken[x.Text.Value] = spoken
			} else if len(x.Fits) == 0 { // the plan's own
				p.noteUnrecorded(kind.Reminder, true, x.Text.Value, missing, x.Text.Pos)
			}
		}
	}
	if wanted && len(r.spoken) == 0 {
		p.notes.add("reminders", problem.Problem{Severity: problem.Warning, Kind: leftOut, Pos: p.class.Plan.Calls.Reminders.Pos,
			Message: "the voice can say none of the reminders"})
	}
	roles := role.Of(p.class)
	var easy, work time.Duration // of segments that count
	said := 0
	for _, s := range p.silences {
		long := s.stretch.Length >= countedFrom
		if roles[s.stretch.Segment].Role == value.Work {
			if long {
				work += s.stretch.Length
			}
			continue
		}
		n := p.fill(r, s, false, -1)
		if long {
			easy += s.stretch.Length
			said += n
		}
	}
	budget := -1 // as many as there is room for
	if easy > 0 && work > 0 {
		budget = int(float64(said) / easy.Minutes() * work.Minutes() / 2)
	}
	for _, s := range p.silences {
		if roles[s.stretch.Segment].Role != value.Work {
			continue
		}
		n := p.fill(r, s, true, budget)
		if budget >= 0 {
			budget -= n
		}
	}
}

// fill puts reminders into the silences of one stretch, at most so many where the budget is not negative, and tells how many.
func (p *placer) fill(r *reminders, s silence, work bool, budget int) (n int) {
	st, seg := s.stretch, &p.class.Segments[s.stretch.Segment]
	every, quiet := seg.Calls.Reminders.Value, seg.Calls.Quiet.Value
	least, longest := every, min(2*every, quiet)
	if work {
		least, longest = min(2*every, quiet), min(4*every, quiet)
	}
	since := st.Start + calls.LongTone
	for i := 0; i <= len(s.placed); i++ {
		until := st.Start + s.room.to
		if i < len(s.placed) {
			until = s.placed[i].Start - reminderGuard
		}
		for n != budget {
			wait, ok := r.wait(max(least, st.Start+s.room.from-since), min(longest, until-since-shortest))
			if !ok {
				break
			}
			at := st.Start + time.Duration(ceilTick(since+wait-st.Start))*tick
			text, ok := r.pick(st.Reminders, at, until-at)
			if !ok {
				break
			}
			n++
			r.waits[bin(at-since)]++
			r.total++
			p.list.Cues = append(p.list.Cues, Cue{Start: at, Length: r.spoken[text].Length, Lane: Speech, Kind: kind.Reminder,
				Text: text, Segment: st.Segment, Pos: seg.Pos})
			since = at + r.spoken[text].Length
		}
		if i < len(s.placed) {
			since = s.placed[i].End()
		}
	}
	return n
}

// pick takes the reminder that has been said least often, the first of them, and not too shortly before or after.
func (r *reminders) pick(from []phrase.Reminder, at, room time.Duration) (string, bool) {
	best, times := "", 0
	for _, x := range from {
		spoken, ok := r.spoken[x.Text.Value]
		said := r.said[x.Text.Value]
		if !ok || spoken.Length > room || x.Most.Value > 0 && len(said) >= x.Most.Value ||
			slices.ContainsFunc(said, func(t time.Duration) bool { return (at - t).Abs() < again }) {
			continue
		}
		if best == "" || len(said) < times {
			best, times = x.Text.Value, len(said)
		}
	}
	if best == "" {
		return "", false
	}
	r.said[best] = append(r.said[best], at)
	return best, true
}
