package cues

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"cuewright/cues/phrase"
	"cuewright/plan"
	"cuewright/plan/class"
	"cuewright/plan/problem"
	"cuewright/plan/units"
)

// scheduler is the work of one Schedule.
type scheduler struct {
	class *class.Class
	plan  *plan.Plan
	units units.Unit
	book  *phrase.Book
	voice Voice
	parts int // how many of the three parts the class has

	list      List
	notes     notes
	reminders reminders
	quiet     time.Duration // class time since which nothing was said

	lastReminder string

	// asked is told of every stretch with its calls, before they are placed.
	asked func(*stretch)
}

// Schedule makes the list of cues of a class: for each segment first the warning
// in its longest wording that fits, with the fullest count that leaves room for
// one, then the other calls for the most weight, then reminders where there is
// room. The same class, book and voice give the same list.
func Schedule(c *class.Class, book *phrase.Book, voice Voice) *List {
	return newScheduler(c, book, voice).schedule()
}

func newScheduler(c *class.Class, book *phrase.Book, voice Voice) *scheduler {
	s := &scheduler{class: c, plan: c.Plan, units: c.Units, book: book, voice: voice,
		list: List{Title: c.Title(), Class: c, Book: book}, notes: newNotes(c.Plan), quiet: -c.Opening}
	seen := map[plan.Part]bool{}
	for _, seg := range c.Segments {
		seen[seg.Part] = true
	}
	s.parts = len(seen)
	return s
}

func (s *scheduler) schedule() *List {
	c := s.class
	s.reminders = s.sayableReminders()
	tail := s.markTail()
	s.place(stretch{segment: -1, start: -c.Opening, length: c.Opening, from: leadIn}, func(st *stretch) {
		s.openingCalls(st)
		s.changeCalls(st, nil, &c.Segments[0], c.Segments[0].Pos)
	})
	for i := range c.Segments {
		seg := &c.Segments[i]
		s.place(stretch{segment: i, start: seg.Start, length: seg.Length, from: tail}, func(st *stretch) {
			s.segmentCalls(st, i)
			if i+1 < len(c.Segments) {
				s.changeCalls(st, seg, &c.Segments[i+1], c.Segments[i+1].Pos)
			} else {
				s.changeCalls(st, seg, nil, seg.Pos)
			}
		})
	}
	s.closing(stretch{segment: -1, start: c.Length, length: c.Closing, from: tail, to: c.Closing})
	s.perform()
	s.list.Problems = s.notes.problems()
	return &s.list
}

// markTail is when the first sentence may start after a change: the long tone,
// and the word on it, are over.
func (s *scheduler) markTail() time.Duration {
	tail := LongTone
	if s.wordsCounted() {
		if mark, missing := s.voice.Speak(s.book.Mark()); len(missing) == 0 {
			tail = max(tail, mark.Length) // its beat falls on the change, so it ends before that
		}
	}
	return tail + afterTone
}

func (s *scheduler) wordsCounted() bool { return s.plan.Calls.Count.With.Value != "beeps" }

// place fills one stretch that ends with a change: with the fullest count that
// lets every must call find room.
func (s *scheduler) place(st stretch, calls func(*stretch)) {
	var placed []Cue
	var left []call
	from := s.plan.Calls.Count.From.Value
	counts := s.counts(from, st)
	for k, count := range counts {
		try := st
		try.to = try.length - s.countLead(count) - beforeCount
		if count == 0 {
			try.to = try.length - beforeCount
		}
		calls(&try)
		if s.asked != nil && k == 0 {
			s.asked(&try)
		}
		cues, missed, ok := try.solve()
		if ok || k == 0 {
			// Where no count leaves room for the warning, the full one stays.
			placed, left, st = cues, missed, try
			from = count
		}
		if ok {
			break
		}
	}
	s.notes.leftOut(&st, placed, left)
	s.list.Cues = append(s.list.Cues, placed...)
	if st.segment >= 0 {
		s.remind(&st, placed)
	} else {
		s.quietAfter(placed)
	}
	s.count(st.segment, st.start+st.length, from)
}

// closing fills the time after the last segment.
func (s *scheduler) closing(st stretch) {
	s.closingCalls(&st)
	if s.asked != nil {
		s.asked(&st)
	}
	placed, left, _ := st.solve()
	s.notes.leftOut(&st, placed, left)
	s.list.Cues = append(s.list.Cues, placed...)
}

// counts lists how far a change may be counted, the best first: from the plan's
// number, then from 3, 2 and 1, as far as a second stays free after the change
// before. It is never empty; 0 is for no count at all.
func (s *scheduler) counts(from int, st stretch) []int {
	var list []int
	for n := from; n >= 1; n = min(n-1, 3) {
		if time.Duration(n)*time.Second+time.Second <= st.length {
			list = append(list, n)
		}
	}
	if len(list) == 0 {
		return []int{0}
	}
	return list
}

// countLead is how long before the change the first sound of a count from n starts.
func (s *scheduler) countLead(n int) time.Duration {
	lead := time.Duration(n) * time.Second
	if s.wordsCounted() {
		spoken, _ := s.voice.Speak(s.countWord(n))
		lead += spoken.Beat
	}
	return lead
}

func (s *scheduler) countWord(n int) string {
	word, _ := s.book.Cardinal(int64(n))
	return word
}

// count appends the count to the change at class time at: n seconds before it
// and the mark on it.
func (s *scheduler) count(segment int, at time.Duration, n int) {
	pos := s.plan.Class.Pos
	if segment >= 0 {
		pos = s.class.Segments[segment].Pos
	}
	for k := n; k >= 0; k-- {
		c := Cue{Lane: CountLane, Kind: Count, Mark: at - time.Duration(k)*time.Second, Segment: segment, Pos: pos,
			Text: s.countWord(k), Length: ShortTone}
		if k == 0 {
			c.Text, c.Length, c.Long = s.book.Mark(), LongTone, true
		}
		c.Start = c.Mark
		if s.wordsCounted() {
			if _, missing := s.voice.Speak(c.Text); len(missing) > 0 {
				s.noteUnrecorded(Count, c.Text, missing, s.plan.Calls.Count.With.Pos)
			}
		}
		s.list.Cues = append(s.list.Cues, c)
	}
	s.quiet = at + LongTone
}

// perform sorts the list and gives every cue its recordings.
func (s *scheduler) perform() {
	for i := range s.list.Cues {
		s.list.Cues[i].File = s.plan.File
	}
	Perform(&s.list, s.voice)
}

// Perform sorts a list by time and has the voice speak it in that order.
func Perform(l *List, voice Voice) {
	slices.SortStableFunc(l.Cues, func(a, b Cue) int { return cmp.Compare(order(&a), order(&b)) })
	for i := range l.Cues {
		PerformCue(&l.Cues[i], l.Class.Plan, voice)
	}
}

// PerformCue gives a cue its recordings and its true length, and a cue of the
// count its place: beeps start on the mark, counted words fall with their beat
// on it, so that their first sound stands a little before.
func PerformCue(c *Cue, p *plan.Plan, voice Voice) {
	with := p.Calls.Count.With.Value
	if c.Lane == Speech || with != "beeps" {
		spoken := voice.Perform(c.Text)
		c.Clips, c.Length = spoken.Clips, spoken.Length
		if c.Lane == Speech {
			return
		}
		c.Start = c.Mark - spoken.Beat
		if with == "words" && !c.Long {
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

// notes collects the problems found on the way, each once however often it
// comes up.
type notes struct {
	plan  *plan.Plan
	keys  []string
	found map[string]*problem.Problem
	more  map[string]int
}

func newNotes(p *plan.Plan) notes {
	return notes{plan: p, found: map[string]*problem.Problem{}, more: map[string]int{}}
}

// add notes a problem under a key; later ones of the same key are only counted.
func (n *notes) add(key string, p problem.Problem) {
	if _, ok := n.found[key]; ok {
		n.more[key]++
		return
	}
	p.File = n.plan.File
	n.keys = append(n.keys, key)
	n.found[key] = &p
}

func (n *notes) problems() []problem.Problem {
	var out []problem.Problem
	for _, key := range n.keys {
		p := *n.found[key]
		switch more := n.more[key]; {
		case more == 1:
			p.Message += " (and once more)"
		case more > 1:
			p.Message += " (and " + strconv.Itoa(more) + " times more)"
		}
		out = append(out, p)
	}
	return out
}

// leftOut notes the calls that found no room, and what stands there instead.
func (n *notes) leftOut(st *stretch, placed []Cue, left []call) {
	for _, c := range left {
		if c.kind == Ahead {
			continue // the check says that the change is not warned of
		}
		w := c.ways[len(c.ways)-1]
		from, to := st.start+max(w.from, st.from), st.start+min(w.to, st.to)+w.spoken.Length
		var beside []string
		for i := range placed {
			text := strconv.Quote(placed[i].Text)
			if placed[i].Start < to && placed[i].End() > from && !slices.Contains(beside, text) {
				beside = append(beside, text)
			}
		}
		why := "the stretch is too short for it"
		switch {
		case len(beside) > 0:
			why = "taken by " + strings.Join(beside, " and ")
		case w.from >= st.from && w.from+w.spoken.Length > st.to && st.to < st.length:
			why = "it would run into the count, which begins at " + units.FormatClock(st.start+st.to+beforeCount)
		}
		n.add("left-out "+string(c.kind)+" "+fmt.Sprint(c.pos)+" "+leftKey(c), problem.Problem{
			Severity: problem.Warning, Kind: "left-out", Pos: c.pos, Timed: true, At: st.start + max(0, w.prefer),
			Message: strconv.Quote(c.ways[0].text) + " has no room: " + why,
		})
	}
}

// leftKey tells calls of one kind and place apart: the time-left calls of a
// segment, not the numbers of its sets.
func leftKey(c call) string {
	if c.kind == Left || c.kind == Say {
		return c.ways[0].text
	}
	return ""
}

// noteNames warns of names the voice cannot say.
func (s *scheduler) noteNames(names []string) {
	for _, name := range names {
		if _, missing := s.voice.Speak(name); len(missing) == 0 {
			continue
		}
		pos := s.plan.Class.Pos
		for i, key := range s.plan.Efforts.Keys {
			if key.Value == name {
				pos = s.plan.Efforts.Keys[i].Pos
			}
		}
		if s.notes.found["name "+name] == nil {
			s.notes.add("name "+name, problem.Problem{Severity: problem.Warning, Kind: "unsaid-name", Pos: pos,
				Message: "the voice has no recording of " + strconv.Quote(name) + ": it is called without its name"})
		}
	}
}

// noteUnrecorded notes a call that can be said in no wording and tells whether
// it stands in the list all the same, because it must be recorded.
func (s *scheduler) noteUnrecorded(kind Kind, text string, missing []string, pos problem.Pos) bool {
	p := problem.Problem{Severity: problem.Error, Kind: "unrecorded", Pos: pos, Message: Unrecorded(text, missing)}
	if kind == Welcome || kind == Reminder {
		p.Severity, p.Kind = problem.Warning, "left-out"
	}
	s.notes.add("unrecorded "+strings.Join(missing, ","), p)
	return p.Severity == problem.Error
}

// Unrecorded is the message about a text the voice cannot say.
func Unrecorded(text string, missing []string) string {
	m := fmt.Sprintf("the voice cannot say %q, not recorded: ", text)
	for i, word := range missing {
		if i > 0 {
			m += ", "
		}
		m += strconv.Quote(word)
	}
	return m
}
