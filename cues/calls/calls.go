// Package calls lists what could be said in a class, stretch by stretch: each call in all
// its wordings, each with the window in which it may start. It asks no voice and places
// nothing, so that it can be read, printed and tested by itself.
package calls

import (
	"slices"
	"time"

	"cuewright/audio/words"
	"cuewright/cues/kind"
	"cuewright/cues/phrase"
	"cuewright/plan"
	"cuewright/plan/class"
	"cuewright/plan/class/role"
	"cuewright/plan/parts"
	"cuewright/plan/problem"
	"cuewright/plan/settings"
	"cuewright/plan/strict"
	"cuewright/plan/value"
)

// Room around sentences.
const (
	// BeforeCount is the least pause before the first sound of a count.
	BeforeCount = 400 * time.Millisecond
	// afterMark is when the first sentence may start after a change: the long tone is over,
	// and a short pause.
	afterMark = LongTone + 150*time.Millisecond
	// leadIn keeps the first syllable of a track from being lost.
	leadIn = 400 * time.Millisecond
)

// LongTone is how long the mark of a change sounds, as the long pip of the hourly time
// signal does, which starts on the hour (testdata/reference/time_signal).
const LongTone = 500 * time.Millisecond

// Tolerance is how far what the voice says about the time that remains may be
// from the truth.
const Tolerance = time.Second

// Early is how far ahead a change is warned of where there is room. Common practice.
const Early = 10 * time.Second

// Estimate is how long a text takes where there is no recording to tell: read speech has
// some 150 words a minute (testdata/reference/speech/values.csv).
func Estimate(text string) time.Duration {
	return Word * time.Duration(max(1, len(words.Of(text))))
}

// Word is how long a word is taken to last.
const Word = 400 * time.Millisecond

// A Stretch is the time from one change to the next with everything that could be said
// in it, before any voice is asked; opening and closing are stretches too. Times in it
// count from its start.
type Stretch struct {
	Segment       int           // index in the class, -1 for opening and closing
	Start, Length time.Duration // Start on the class clock
	// First is when the first sentence may start: the mark of the change before is over.
	// A word counted on that change may last longer.
	First time.Duration
	Calls []Call
	// Counts are the numbers from which the change at its end may be counted, the best
	// first; none where no change follows. 0 is for no count at all.
	Counts []int
	// Counted are the words of the fullest count and of the change, where words are counted.
	Counted []string
	// Reminders are those that fit, where there is room for one at the rate of ordinary speech.
	Reminders []phrase.Reminder
}

// A Call is something the coach wants to say in one stretch, in one of several wordings,
// the fullest first.
type Call struct {
	Kind     kind.Kind
	Pos      problem.Pos
	Wordings []Wording

	// After are the kinds that must not come before it.
	After []kind.Kind
	// Spare is set where it is left out with a warning if nobody can speak it.
	Spare bool
}

// A Wording is one way to make a call, and the window in which it may start.
type Wording struct {
	phrase.Wording
	From, To, Prefer time.Duration
	// Says is the length of time that the sentence speaks of, 0 where it speaks of none.
	Says time.Duration

	// Soon is set where From and Prefer go with when the first sentence may start.
	Soon bool
}

// Room is how long the calls of s may last together at most.
func (s *Stretch) Room() time.Duration {
	to := s.Length
	if len(s.Counts) > 0 {
		to -= time.Duration(s.Counts[0])*time.Second + BeforeCount
	}
	return to - s.First
}

// Of lists what could be said in a class, stretch by stretch: the opening, every
// segment, the closing. It asks no voice and places nothing.
func Of(c *class.Class, book *phrase.Book) []Stretch {
	w := writer{class: c, plan: c.Plan, book: book, roles: role.Of(c)}
	seen := map[parts.Part]bool{}
	for i := range c.Segments {
		seen[c.Segments[i].Part] = true
	}
	w.parts = len(seen)
	for i, s := range c.Segments { // where the last sets begin their last set
		if s.FirstOfSet && s.Sets > 1 {
			w.lastSets = i
		}
	}

	w.again = w.repeats()
	opening := Stretch{Segment: -1, Start: -c.Opening, Length: c.Opening, First: leadIn}
	w.opening(&opening)
	w.change(&opening, nil, &c.Segments[0])
	all := []Stretch{opening}
	for i := range c.Segments {
		s := &c.Segments[i]
		st := Stretch{Segment: i, Start: s.Start, Length: s.Length, First: afterMark}
		w.segment(&st)
		var next *class.Segment
		if i+1 < len(c.Segments) {
			next = &c.Segments[i+1]
		}
		w.change(&st, s, next)
		w.addReminders(&st, s)
		all = append(all, st)
	}
	closing := Stretch{Segment: -1, Start: c.Length, Length: c.Closing, First: afterMark}
	w.closing(&closing)
	return append(all, closing)
}

// Texts lists every text that a class may need: the wordings of its calls, the reminders
// that fit it, and the words that are counted. A voice that has them all can render it.
func Texts(c *class.Class, book *phrase.Book) []string {
	var texts []string
	seen := map[string]bool{}
	add := func(text string) {
		if !seen[text] {
			seen[text] = true
			texts = append(texts, text)
		}
	}
	for _, st := range Of(c, book) {
		for _, call := range st.Calls {
			for _, w := range call.Wordings {
				add(w.Text)
			}
		}
		for _, r := range st.Reminders {
			add(r.Text.Value)
		}
		for _, word := range st.Counted {
			add(word)
		}
	}
	return texts
}

// writer works out the calls of a class.
type writer struct {
	class    *class.Class
	plan     *plan.Plan
	book     *phrase.Book
	parts    int // how many of the three parts the class has
	roles    []role.Guess
	again    map[int][]variant // the repetitions of each segment
	lastSets int               // the segment that begins the last set of all
}

// A variant is one set of slots for a call's wordings, and the window in which the
// wordings with these slots may start.
type variant struct {
	slots            []phrase.Slot
	from, to, prefer time.Duration
	soon             bool
	says             time.Duration
}

// add appends a call in all wordings that the book has for it; one that the book has no
// wording for is not made.
func (w *writer) add(st *Stretch, c Call, key string, variants ...variant) {
	seen := map[string]bool{} // a wording without the slots that vary comes up once
	for _, v := range variants {
		for _, text := range w.book.Wordings(key, v.slots...) {
			if seen[text.Text] {
				continue
			}
			seen[text.Text] = true
			x := Wording{Wording: text, From: v.from, To: v.to, Prefer: v.prefer, Soon: v.soon}
			if v.soon {
				x.From, x.Prefer = st.First, st.First+v.prefer
			}
			if text.Time >= 0 {
				x.Says = v.says
			}
			c.Wordings = append(c.Wordings, x)
		}
	}
	if len(c.Wordings) > 0 {
		st.Calls = append(st.Calls, c)
	}
}

// time words a length of time for a slot; an empty text drops the wordings that need it.
func (w *writer) time(d time.Duration) phrase.Slot {
	text, _ := w.book.Time(d)
	return phrase.Slot{Name: "time", Text: text}
}

// change is the warning of the change at the end of a stretch. to is nil at the end of
// the class, from nil at its start.
func (w *writer) change(st *Stretch, from, to *class.Segment) {
	into := w.plan.Calls
	if to != nil {
		into = to.Calls
	}
	w.count(st, into.Count)
	c := Call{Kind: kind.Ahead}
	ahead := into.Ahead.Value
	v := variant{from: st.Length - ahead, to: st.Length, prefer: st.Length - ahead}
	switch {
	case to == nil:
		c.Pos = from.Pos
		w.add(st, c, onFloor(from, "end", "floor-end"), w.timed(ahead, v)...)
	case to.Target.Floor && from != nil:
		c.Pos = to.Pos
		v.slots = []phrase.Slot{{Name: "effort", Text: to.Effort, Named: true}}
		w.add(st, c, onFloor(from, "leave", "floor"), w.timed(ahead, v)...)
	case from == nil:
		c.Pos = to.Pos
		v.slots = []phrase.Slot{
			{Name: "effort", Text: to.Effort, Named: true},
			{Name: "targets", Text: w.book.Change(w.class.Units, w.class.Step, nil, to.Target).All},
		}
		// However long the opening is, the numbers come when they are dialled in, and
		// early enough where there is room.
		v.from, v.prefer = 0, st.Length-Early-time.Second
		if st.Length >= 2*Early {
			v.to = st.Length - Early
		}
		w.add(st, c, "first", v)
	default:
		c.Pos = to.Pos
		change := w.book.Change(w.class.Units, w.class.Step, &from.Target, to.Target)
		changes := change.Brief
		if into.Keeps(w.unsure(st.Segment, to.Target)) {
			changes = change.Full
		}
		v.slots = []phrase.Slot{
			{Name: "effort", Text: to.Effort, Named: true},
			{Name: "changes", Text: changes},
			{Name: "needed", Text: change.Needed},
		}
		if from.Target.Floor {
			w.back(st, from)
		}
		w.add(st, c, "ahead", w.timed(ahead, v)...)
	}
}

// unsure reports whether a number that stays at the end of segment i, where the targets to come are to, changed at its start.
func (w *writer) unsure(i int, to class.Target) bool {
	if i == 0 {
		return true
	}
	from, before := w.class.Segments[i].Target, w.class.Segments[i-1].Target
	if from.HasIncline && from.Incline == to.Incline {
		return before.Floor || before.Incline != from.Incline
	}
	return before.Floor || before.ByFeel != from.ByFeel || before.Speed != from.Speed || before.RPE != from.RPE
}

// onFloor is a key of the book for who is on the belt, or another for who is off it.
func onFloor(s *class.Segment, belt, floor string) string {
	if s.Target.Floor {
		return floor
	}
	return belt
}

// back calls those who are off the belt back to it, so long before the change that it runs and they stand on it when
// the numbers come.
func (w *writer) back(st *Stretch, from *class.Segment) {
	at := st.Length - from.Calls.SpinUp.Value
	w.add(st, Call{Kind: kind.Return, Pos: from.Pos, After: []kind.Kind{kind.Ahead}}, "return", variant{from: at - Tolerance, to: at + Tolerance, prefer: at})
}

// count lists how far the change at the end of a stretch may be counted: from the plan's
// number, then from 3, 2 and 1, as far as a second stays free after the change before.
func (w *writer) count(st *Stretch, with settings.Count) {
	for n := with.From.Value; n >= 1; n = min(n-1, 3) {
		if time.Duration(n)*time.Second+time.Second <= st.Length {
			st.Counts = append(st.Counts, n)
		}
	}
	if len(st.Counts) == 0 {
		st.Counts = []int{0}
	}
	if with.With.Value == settings.Beeps {
		return
	}
	for n := st.Counts[0]; n > 0; n-- {
		st.Counted = append(st.Counted, Number(w.book, n))
	}
	st.Counted = append(st.Counted, w.book.Mark())
}

// Number is how a second of the count is said.
func Number(book *phrase.Book, n int) string {
	word, _ := book.Cardinal(int64(n))
	return word
}

// timed are the variants of a warning: with each of the times it may speak of, in whole
// fives of seconds from 10 s up and the plan's own, and without any.
func (w *writer) timed(ahead time.Duration, v variant) []variant {
	times := []time.Duration{ahead}
	for d := ahead.Truncate(5 * time.Second); d >= 10*time.Second; d -= 5 * time.Second {
		if d != ahead {
			times = append(times, d)
		}
	}
	var out []variant
	for _, d := range times {
		with := v
		with.slots, with.says = append(slices.Clone(v.slots), w.time(d)), d
		out = append(out, with)
	}
	return append(out, v)
}

// soon is how late something may be said that belongs to what has begun.
const soon = 5 * time.Second

// segment are the calls of a segment besides the warning of the next.
func (w *writer) segment(st *Stretch) {
	i := st.Segment
	seg := &w.class.Segments[i]

	w.confirm(st, i)
	key, slots := "now", []phrase.Slot{{Name: "effort", Text: seg.Effort, Named: true}, w.time(seg.Length)}
	if (i == 0 || w.class.Segments[i-1].Part != seg.Part) && w.parts > 1 {
		key = "now-part"
		slots = append(slots, phrase.Slot{Name: "part", Text: w.book.Part(seg.Part)})
	}
	w.add(st, Call{Kind: kind.Now, Pos: seg.Pos, After: []kind.Kind{kind.Ahead, kind.Set, kind.Last, kind.Left}}, key,
		variant{slots: slots, to: 2 * soon, soon: true, says: seg.Length})

	w.set(st, seg)
	w.left(st, seg)
	w.halfway(st, seg)
	for _, say := range seg.FixedCues {
		st.Calls = append(st.Calls, Call{Kind: kind.Say, Pos: say.Pos, Spare: true, Wordings: []Wording{{
			Wording: phrase.Wording{Text: say.Text, Time: -1},
			From:    say.At - Tolerance, To: say.At + Tolerance, Prefer: say.At,
		}}})
	}
}

// set tells which set begins, of sets in sets also which of those around it; the last one is the last set only where no
// other sets follow.
func (w *writer) set(st *Stretch, seg *class.Segment) {
	if !seg.FirstOfSet || seg.Sets < 2 {
		return
	}
	number := func(n int) string {
		text, _ := w.book.Cardinal(int64(n))
		return text
	}
	k, key, o := kind.Set, "set", seg.Outer
	slots := []phrase.Slot{{Name: "set", Text: number(seg.Set)}, {Name: "sets", Text: number(seg.Sets)}, {Name: "block", Text: seg.BlockName, Named: true}}
	switch {
	case seg.Set == 1 && o.Sets > 1:
		key = "set-outer"
		slots = append(slots, phrase.Slot{Name: "outer", Text: number(o.Set)}, phrase.Slot{Name: "outers", Text: number(o.Sets)})
	case seg.Set == seg.Sets && st.Segment >= w.lastSets:
		k, key = kind.Last, "last"
	case seg.Set == seg.Sets:
		k, key = kind.Last, "last-here"
	}
	w.add(st, Call{Kind: k, Pos: seg.Pos, After: []kind.Kind{kind.Ahead}}, key,
		variant{slots: slots, to: 3 * soon, prefer: 2 * time.Second, soon: true})
}

// left are the calls of the time that is left in a segment.
func (w *writer) left(st *Stretch, seg *class.Segment) {
	ahead := w.class.Into(st.Segment).Ahead.Value
	for _, left := range seg.Calls.Left {
		// Just after the length was told, the time left is no news.
		remains := left.Value
		if seg.Length < remains+10*time.Second || !left.Pos.IsSet() && seg.Length < 2*remains || remains == ahead || seg.Target.Floor && remains <= seg.Calls.SpinUp.Value {
			continue
		}
		at := st.Length - remains
		w.add(st, Call{Kind: kind.Left, Pos: seg.Pos}, "left",
			variant{slots: []phrase.Slot{w.time(remains)}, from: at - 2*Tolerance, to: at + Tolerance, prefer: at, says: remains})
	}
}

// HalfwayWithin is how far from the middle of the class halfway may be said, to find a calm place.
const HalfwayWithin = 15 * time.Second

// halfwayFrom is the shortest class whose half is called.
const halfwayFrom = 4 * time.Minute

// halfway is the call of the middle of the class, in the segment that holds it.
func (w *writer) halfway(st *Stretch, seg *class.Segment) {
	half := w.class.Length / 2
	if w.class.Length < halfwayFrom || half < seg.Start || half >= seg.End() {
		return
	}
	at := half - seg.Start
	w.add(st, Call{Kind: kind.Halfway, Pos: seg.Pos}, "halfway", variant{from: at - HalfwayWithin, to: at + HalfwayWithin, prefer: at})
}

// opening are the welcome and the safety line.
func (w *writer) opening(st *Stretch) {
	pos := w.plan.Class.Pos
	name := []phrase.Slot{{Name: "class", Text: w.plan.Class.Value, Named: true}}
	w.add(st, Call{Kind: kind.Welcome, Pos: pos, After: []kind.Kind{kind.Safety, kind.Ahead, kind.Say}}, "welcome",
		variant{slots: name, to: st.Length, soon: true})
	if w.plan.Opening.Outlined() {
		w.outline(st)
	}
	w.add(st, Call{Kind: kind.Safety, Pos: pos, After: []kind.Kind{kind.Ahead, kind.Say}}, "safety",
		variant{to: st.Length, prefer: 2 * time.Second, soon: true})
	own(st, w.plan.Opening.Say, 5*time.Second, kind.Ahead)
}

// outline tells of the longest sets of the main part, how many they are and how long each of them lasts.
func (w *writer) outline(st *Stretch) {
	longest, ok := w.class.LongestSets()
	if !ok {
		return // the plan's reader says so
	}
	slots := append(w.book.Before(int64(longest.Sets)), phrase.Slot{Name: "block", Text: longest.Name, Named: true}, w.time(longest.Each))
	w.add(st, Call{Kind: kind.Welcome, Pos: w.plan.Opening.Outline.Pos, After: []kind.Kind{kind.Safety, kind.Ahead, kind.Say}}, "outline",
		variant{slots: slots, to: st.Length, prefer: 2 * time.Second, soon: true})
}

// own are sentences of the coach for the opening or the closing, one after the other.
func own(st *Stretch, say []strict.Text, from time.Duration, after ...kind.Kind) {
	for _, text := range say {
		st.Calls = append(st.Calls, Call{Kind: kind.Say, Pos: text.Pos, After: after, Spare: true, Wordings: []Wording{{
			Wording: phrase.Wording{Text: text.Value, Time: -1}, To: st.Length, Prefer: from, Soon: true,
		}}})
		from += Estimate(text.Value)
	}
}

// closing is the last sentence.
func (w *writer) closing(st *Stretch) {
	w.add(st, Call{Kind: kind.Finish, Pos: w.plan.Class.Pos, After: []kind.Kind{kind.Say}}, onFloor(&w.class.Segments[len(w.class.Segments)-1], "finish", "floor-finish"), variant{to: st.Length, soon: true})
	own(st, w.plan.Closing.Say, 3*time.Second)
}

// climbs is the incline, in tenths of a percent, from which a segment is a climb.
const climbs = 30

// reminderFor is what kind of reminder fits a segment with a role. Walkers are not told how to run.
func reminderFor(seg *class.Segment, r value.Role) string {
	switch {
	case r != value.Work:
		return "easy"
	case seg.Target.HasIncline && seg.Target.Incline >= climbs:
		return "climb"
	case seg.Target.Gait == value.Walk:
		return "easy"
	}
	return "work"
}

// addReminders lists the reminders that fit a segment, where the plan wants any and the
// stretch is long enough for one at the rate of ordinary speech.
func (w *writer) addReminders(st *Stretch, seg *class.Segment) {
	every := seg.Calls.Reminders.Value
	if every == 0 || seg.Target.Floor { // they are about running
		return
	}
	own := make([]phrase.Reminder, 0, len(w.plan.Theme)+len(w.book.Reminders))
	for _, text := range w.plan.Theme {
		own = append(own, phrase.Reminder{Text: text})
	}
	for _, r := range append(own, w.book.Reminders...) {
		if fits(r, reminderFor(seg, w.roles[st.Segment].Role)) && st.Room() >= every+Estimate(r.Text.Value) {
			st.Reminders = append(st.Reminders, r)
		}
	}
}

// fits reports whether a reminder fits a segment of some kind, as reminderFor names it. Those of a plan fit any.
func fits(r phrase.Reminder, what string) bool {
	return len(r.Fits) == 0 || slices.ContainsFunc(r.Fits, func(f strict.Text) bool { return f.Value == what })
}
