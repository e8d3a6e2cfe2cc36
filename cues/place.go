package cues

import (
	"cmp"
	"slices"
	"time"

	"cuewright/cues/calls"
	"cuewright/cues/kind"
	"cuewright/cues/kind/claim"
	"cuewright/cues/phrase"
	"cuewright/cues/place"
	"cuewright/plan/class"
	"cuewright/plan/settings"
)

// tick is the grid on which sentences start, from their stretch's start.
const tick = 50 * time.Millisecond

// Room around sentences.
const (
	// minPause is the least pause between two sentences. 380 ms is a good one
	// between sentences of one speaker (measured for this project, median of
	// English prompts 268 ms, interquartile 225 to 305).
	minPause = 350 * time.Millisecond
)

// Tolerance is how far what the voice says about the time that remains may be
// from the truth.
const Tolerance = calls.Tolerance

// Early is how far ahead a change is warned of where there is room.
const Early = calls.Early

// points make the weights of calls readable: a call is worth so many points,
// and being a second away from its best time costs some.
const points = 1000

// perSecond converts points a second into the placer's cost of a tick.
func perSecond(p int64) int64 { return p * points * int64(tick) / int64(time.Second) }

// rankCost is what a shorter wording costs.
const rankCost = 8 * points

// placer is the work of one Schedule.
type placer struct {
	class *class.Class
	book  *phrase.Book
	voice Voice

	list  List
	notes notes
	// tail is how much later than planned the first sentence starts after a change on which a
	// word is counted.
	tail     time.Duration
	silences []silence // of the segments
}

// worded reports whether any change of a class is counted in words.
func worded(c *class.Class) bool {
	for i := -1; i < len(c.Segments); i++ {
		if c.Into(i).Count.With.Value != settings.Beeps {
			return true
		}
	}
	return false
}

// Schedule makes the list of cues of a class: for each segment first the warning
// in its longest wording that fits, with the fullest count that leaves room for
// one, then the other calls for the most weight, then reminders where there is
// room. The same class, book and voice give the same list.
func Schedule(c *class.Class, book *phrase.Book, voice Voice) *List {
	p := &placer{class: c, book: book, voice: voice, list: List{Title: c.Title(), Class: c, Book: book}, notes: newNotes(c.Plan)}
	if worded(c) {
		if mark, missing := voice.Measure(book.Mark()); len(missing) == 0 {
			p.tail = max(0, mark.Length-LongTone) // its beat falls on the change, so it ends before that
		}
	}
	stretches := calls.Of(c, book)
	for i := range stretches {
		p.place(&stretches[i])
	}
	p.remind()
	for i := range p.list.Cues {
		p.list.Cues[i].File = c.Plan.File
	}
	selectAll(&p.list, voice)
	p.list.Problems = p.notes.problems()
	return &p.list
}

// A room is the part of a stretch in which sentences are said, from its start: after the
// mark of the change before, and before the count to the next.
type room struct{ from, to time.Duration }

// An option is a wording that the voice can say, and the window in which it may start.
type option struct {
	calls.Wording
	spoken           Spoken
	from, to, prefer time.Duration
}

// A candidate is a call in the wordings that the voice can say.
type candidate struct {
	*calls.Call
	options []option
}

// place fills one stretch, with the fullest count that lets every must call find room.
func (p *placer) place(st *calls.Stretch) {
	from := st.First
	if (st.Segment >= 0 || st.Start > 0) && p.class.CountedWith(st.Start) != settings.Beeps { // a change is before it
		from += p.tail
	}
	candidates := p.candidates(st, from)
	candidates, again := apart(candidates)
	if len(st.Counts) == 0 {
		r := room{from, st.Length}
		placed, left, _ := p.solve(st, r, candidates)
		p.notes.leftOut(st, r, placed, left)
		p.list.Cues = append(p.list.Cues, placed...)
		return
	}
	f, ok := p.fullest(st, from, candidates, min(3, st.Counts[0]))
	if !ok { // the numbers were told ahead: they give way before the last three seconds of the count do
		told := slices.DeleteFunc(slices.Clone(candidates), func(c candidate) bool { return c.Kind == kind.Confirm })
		f, _ = p.fullest(st, from, told, 0)
	}
	r, placed, left, counted := f.room, f.placed, f.left, f.counted
	placed, missed := p.repeat(st, r, placed, again)
	p.notes.leftOut(st, r, placed, append(left, missed...))
	p.list.Cues = append(p.list.Cues, placed...)
	if st.Segment >= 0 {
		p.silences = append(p.silences, silence{st, r, placed})
	}
	p.count(st, counted)
}

// apart parts the repetitions from all other calls: a long segment may have hundreds, and they move no other call.
func apart(candidates []candidate) (calls, again []candidate) {
	for _, c := range candidates {
		if c.Kind == kind.Repeat {
			again = append(again, c)
		} else {
			calls = append(calls, c)
		}
	}
	return calls, again
}

// fromMarks is how far a repetition keeps from what tells the time, where it can.
const fromMarks = 20 * time.Second

// repeat puts each repetition into a pause as near its best time as it goes, and tells those that found none.
func (p *placer) repeat(st *calls.Stretch, r room, placed []Cue, again []candidate) (all []Cue, missed []candidate) {
	all = placed
next:
	for _, c := range again {
		o := &c.options[0]
		for _, apart := range []time.Duration{fromMarks, minPause} {
			for off := time.Duration(0); off <= max(o.to-o.prefer, o.prefer-o.from); off += time.Second / 2 {
				for _, at := range []time.Duration{o.prefer - off, o.prefer + off} {
					at = time.Duration(ceilTick(at)) * tick
					if at < max(o.from, r.from) || at > o.to || at+o.spoken.Length > r.to || crowds(placed, st.Start+at, o.spoken.Length, apart) {
						continue
					}
					all = append(all, Cue{Start: st.Start + at, Length: o.spoken.Length, Lane: Speech, Kind: c.Kind, Text: o.Text, Segment: st.Segment, Pos: c.Pos})
					continue next
				}
			}
		}
		missed = append(missed, c)
	}
	slices.SortFunc(all, func(a, b Cue) int { return cmp.Compare(a.Start, b.Start) })
	return all, missed
}

// crowds reports whether something of a length at a time comes too near what was placed: nearer than apart to what tells the
// time, than a pause to all else.
func crowds(placed []Cue, at, length, apart time.Duration) bool {
	return slices.ContainsFunc(placed, func(q Cue) bool {
		pause := minPause
		if q.Kind == kind.Left || q.Kind == kind.Halfway {
			pause = apart
		}
		return at < q.End()+pause && q.Start < at+length+pause
	})
}

// A filled stretch is what was placed in one, beside which count.
type filled struct {
	room    room
	placed  []Cue
	left    []candidate
	counted int
}

// fullest fills a stretch beside the fullest count, not less than the least, that leaves room for all must calls; where none
// does, beside the fullest, and ok is false.
func (p *placer) fullest(st *calls.Stretch, from time.Duration, candidates []candidate, least int) (f filled, ok bool) {
	for k, n := range st.Counts {
		if n < least {
			break
		}
		try := room{from, st.Length - p.countLead(st, n) - calls.BeforeCount}
		cues, missed, ok := p.solve(st, try, candidates)
		if ok || k == 0 {
			f = filled{try, cues, missed, n}
		}
		if ok {
			return f, true
		}
	}
	return f, false
}

// candidates are the calls of a stretch in the wordings that the voice can say. Where it
// can say none, the fullest without a name stands in, so that the list is complete when
// the recordings are; what is missing then is noted.
func (p *placer) candidates(st *calls.Stretch, from time.Duration) []candidate {
	var out []candidate
	for i := range st.Calls {
		c := candidate{Call: &st.Calls[i]}
		var unsaid *option
		var lacking []string
		for _, w := range c.Wordings {
			spoken, missing := p.voice.Measure(w.Text)
			o := option{Wording: w, spoken: spoken, from: w.From, to: w.To, prefer: w.Prefer}
			if w.Soon {
				o.from, o.prefer = from, w.Prefer+from-st.First
			}
			if w.Says > 0 && c.Kind.Has(claim.Remaining) {
				o.narrow(st)
			}
			switch {
			case len(missing) == 0:
				c.options = append(c.options, o)
			case len(w.Names) > 0:
				p.noteNames(w.Names)
			case unsaid == nil:
				unsaid, lacking = &o, missing
			}
		}
		if len(c.options) == 0 && unsaid != nil && p.noteUnrecorded(c.Kind, c.Spare, unsaid.Text, lacking, c.Pos) {
			c.options = append(c.options, *unsaid)
		}
		if len(c.options) > 0 {
			out = append(out, c)
		}
	}
	return out
}

// narrow keeps the window so that the first word of the time the sentence speaks of is
// heard within Tolerance of that time before the stretch's end, with every take.
func (o *option) narrow(st *calls.Stretch) {
	heard := o.spoken.When[o.Time]
	o.from = max(o.from, st.Length-o.Says-Tolerance-heard.From)
	o.to = min(o.to, st.Length-o.Says+Tolerance-heard.To)
}

// countLead is how long before the change the first sound of a count from n starts.
func (p *placer) countLead(st *calls.Stretch, n int) time.Duration {
	lead := time.Duration(n) * time.Second
	if n > 0 && len(st.Counted) > 0 {
		spoken, _ := p.voice.Measure(calls.Number(p.book, n))
		lead += spoken.Beat
	}
	return lead
}

// ceilTick and floorTick convert times to ticks.
func ceilTick(t time.Duration) int { return -floorTick(-t) }

func floorTick(t time.Duration) int {
	n := t / tick
	if t%tick < 0 {
		n--
	}
	return int(n)
}

// solve places the calls of a stretch. placed holds the chosen cues, left the
// calls that found no room; ok tells whether all must calls were placed.
func (p *placer) solve(st *calls.Stretch, r room, candidates []candidate) (placed []Cue, left []candidate, ok bool) {
	problem := place.Problem{Gap: ceilTick(minPause)}
	for _, c := range candidates {
		var pc place.Call
		for i, other := range candidates {
			if slices.Contains(c.After, other.Kind) {
				pc.After = append(pc.After, i)
			}
		}
		for _, o := range c.options {
			length := max(1, ceilTick(o.spoken.Length))
			pc.Options = append(pc.Options, place.Option{
				Value:  worth(c.Kind, o.Rank),
				Length: length,
				From:   ceilTick(max(o.from, r.from)),
				To:     min(floorTick(o.to), floorTick(r.to)-length),
				Prefer: floorTick(o.prefer),
				Slope:  perSecond(kind.Of(c.Kind).Slope),
			})
		}
		problem.Calls = append(problem.Calls, pc)
	}
	choices, _ := place.Solve(problem)
	made := map[int]bool{}
	for _, ch := range choices {
		c := &candidates[ch.Call]
		made[ch.Call] = true
		o := &c.options[ch.Option]
		cue := Cue{
			Start: st.Start + time.Duration(ch.Start)*tick, Length: o.spoken.Length,
			Lane: Speech, Kind: c.Kind, Text: o.Text, Segment: st.Segment, Pos: c.Pos,
		}
		if o.Says > 0 {
			cue.Says = Claim{Word: o.Time, Time: o.Says}
		}
		placed = append(placed, cue)
	}
	ok = true
	for i, c := range candidates {
		if !made[i] {
			left = append(left, c)
			ok = ok && kind.Of(c.Kind).Must == 0
		}
	}
	return placed, left, ok
}

// worth is what a call in a wording of some rank is worth to the placer.
func worth(k kind.Kind, rank int) int64 {
	row := kind.Of(k)
	if row.Must > 0 {
		return row.Must - int64(rank)*row.MustRank
	}
	return max(row.Weight*points-int64(rank)*rankCost, points)
}

// count appends the count to the change at the end of a stretch: n seconds before it
// and the mark on it.
func (p *placer) count(st *calls.Stretch, n int) {
	at, pos := st.Start+st.Length, p.class.Plan.Class.Pos
	if st.Segment >= 0 {
		pos = p.class.Segments[st.Segment].Pos
	}
	for k := n; k >= 0; k-- {
		c := Cue{Lane: CountLane, Kind: kind.Count, Mark: at - time.Duration(k)*time.Second, Segment: st.Segment, Pos: pos,
			Text: calls.Number(p.book, k), Length: ShortTone}
		if k == 0 {
			c.Text, c.Length, c.Long = p.book.Mark(), LongTone, true
		}
		c.Start = c.Mark
		if len(st.Counted) > 0 {
			if _, missing := p.voice.Measure(c.Text); len(missing) > 0 {
				p.noteUnrecorded(kind.Count, false, c.Text, missing, p.class.Into(st.Segment).Count.With.Pos)
			}
		}
		p.list.Cues = append(p.list.Cues, c)
	}
}
