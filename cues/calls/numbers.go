package calls

import (
	"sort"
	"time"

	"cuewright/cues/kind"
	"cuewright/cues/phrase"
	"cuewright/plan/class"
)

// What is confirmed of the numbers of a change, by how long the segment lasts: from ConfirmAll on all that changed, from
// ConfirmSpeed on the speed at least; in shorter ones a count and the mark have to do. Rules of ours.
const (
	ConfirmAll   = 12 * time.Second
	ConfirmSpeed = 8 * time.Second
)

// ConfirmBy is when a confirmation of the numbers of a target is over, from the change: ranges take longer to say. Rules of ours.
func ConfirmBy(t class.Target) time.Duration {
	if !t.Floor && (!t.ByFeel && !t.Speed.Single() || t.ByFeel && !t.RPE.Single()) {
		return 9 * time.Second
	}
	return 6 * time.Second
}

// Changed are the numbers that changed when segment i began and are confirmed then, none where nothing did or the plan
// wants none.
func Changed(c *class.Class, book *phrase.Book, i int) phrase.Change {
	seg := &c.Segments[i]
	if seg.Calls.ConfirmsNone() {
		return phrase.Change{}
	}
	return lastChange(c, book, i)
}

// lastChange is what changed when segment i began, or all of it where the plan confirms all.
func lastChange(c *class.Class, book *phrase.Book, i int) phrase.Change {
	seg := &c.Segments[i]
	var from *class.Target
	if i > 0 && !seg.Calls.ConfirmsAll() {
		from = &c.Segments[i-1].Target
	}
	return book.Change(c.Units, c.Step, from, seg.Target)
}

// confirm are the numbers that changed, right after the mark, and those of the repetitions that fall into segment i.
func (w *writer) confirm(st *Stretch, i int) {
	seg := &w.class.Segments[i]
	change := Changed(w.class, w.book, i)
	if len(change.Parts) > 0 && seg.Length >= ConfirmSpeed {
		slots := []phrase.Slot{{Name: "changed", Text: change.Needed}}
		switch {
		case len(change.Parts) > 1 && seg.Length < ConfirmAll:
			slots = append(slots, phrase.Slot{Name: "speed", Text: change.Parts[0]})
		case len(change.Parts) == 1 && change.Speed != "":
			slots = append(slots, phrase.Slot{Name: "speed", Text: change.Speed})
		default:
			slots = append(slots, phrase.Slot{Name: "speed"})
		}
		w.add(st, Call{Kind: kind.Confirm, Pos: seg.Pos, After: []kind.Kind{kind.Now, kind.Set, kind.Last, kind.Left, kind.Ahead, kind.Halfway}}, "confirm",
			variant{slots: slots, to: st.First + 350*time.Millisecond, soon: true})
	}
	for _, v := range w.again[i] {
		w.add(st, Call{Kind: kind.Repeat, Pos: seg.Pos}, "repeat", v)
	}
}

// repeats are the moments at which numbers are said again, by segment: over each run of segments in which nothing changes so
// many, equally spaced, that each may move and none is further from the next than the plan says; each in the segment that
// leaves it most room.
func (w *writer) repeats() map[int][]variant {
	out, all := map[int][]variant{}, w.class.Segments
	for i := 0; i < len(all); {
		from := i
		for i++; i < len(all) && len(lastChange(w.class, w.book, i).Parts) == 0 && !all[i].Target.Floor; i++ {
		}
		every, start, span := all[from].Calls.Repeat.Value, all[from].Start, all[i-1].End()-all[from].Start
		if every == 0 || all[from].Target.Floor || span <= every {
			continue
		}
		slots := []phrase.Slot{{Name: "changed", Text: w.numbers(from)}}
		n := span/every + 1
		// Room to find a pause, also beside the calls of a change in which nothing changes.
		least := 4 * soon
		if i-from > 1 {
			least = 8 * soon
		}
		for (every-span/n)/2 < min(least, every/4) {
			n++
		}
		space := span / n
		slack := (every - space) / 2
		for k := time.Duration(1); k < n; k++ {
			at := start + k*space
			best, most := -1, time.Duration(0)
			for j := from + sort.Search(i-from, func(j int) bool { return all[from+j].End() > at-slack }); j < i && all[j].Start < at+slack; j++ {
				// Warning and count take the end of a segment, the numbers its beginning.
				if room := min(all[j].End()-ConfirmAll, at+slack) - max(all[j].Start, at-slack); room > most {
					best, most = j, room
				}
			}
			if best < 0 { // nothing may move
				best = from + sort.Search(i-from-1, func(j int) bool { return all[from+j].End() > at })
			}
			own := all[best].Start
			near := func(t time.Duration) time.Duration { return min(max(t, at-slack), at+slack) - own }
			out[best] = append(out[best], variant{slots: slots, from: near(at - slack), to: near(at + slack), prefer: min(max(at, own+soon), all[best].End()) - own})
		}
	}
	return out
}

// numbers are those that changed last when segment i runs.
func (w *writer) numbers(i int) string {
	for k := i; k > 0; k-- {
		if c := lastChange(w.class, w.book, k); len(c.Parts) > 0 {
			return c.Needed
		}
	}
	return w.book.Change(w.class.Units, w.class.Step, nil, w.class.Segments[0].Target).All
}
