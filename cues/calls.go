package cues

import (
	"slices"
	"time"

	"cuewright/cues/phrase"
	"cuewright/cues/place"
	"cuewright/plan/class"
	"cuewright/plan/problem"
)

// tick is the grid on which sentences start, from their segment's start.
const tick = 50 * time.Millisecond

// Room around sentences.
const (
	// breath is the least pause between two sentences. 380 ms is a good one
	// between sentences of one speaker (measured for this project, median of
	// English prompts 268 ms, interquartile 225 to 305).
	breath = 350 * time.Millisecond
	// beforeCount is the least pause before the first sound of a count.
	beforeCount = 400 * time.Millisecond
	// afterTone is the pause after the long tone of a change.
	afterTone = 150 * time.Millisecond
	// leadIn keeps the first syllable of a track from being lost.
	leadIn = 400 * time.Millisecond
)

// Tolerance is how far what the voice says about the time that remains may be
// from the truth.
const Tolerance = time.Second

// Early is how far ahead a change is warned of where there is room. Common practice.
const Early = 10 * time.Second

// points make the weights of calls readable: a call is worth so many points,
// and being a second away from its best time costs some.
const points = 1000

// perSecond converts points a second into the placer's cost of a tick.
func perSecond(p int64) int64 { return p * points * int64(tick) / int64(time.Second) }

// rankCost is what a shorter wording costs.
const rankCost = 8 * points

// A must call towers over all others together (they number at most
// place.MaxCalls), the warning over the safety line. Each step of the warning's
// wording towers over all other calls too.
var (
	mustValue = map[Kind]int64{Ahead: 2e12, Safety: 1e12}
	mustRank  = map[Kind]int64{Ahead: 1e9, Safety: 2 * rankCost}
)

// style is how much a kind of call matters, where mustValue does not say it, and
// how it minds being moved.
type style struct{ weight, slope int64 }

var styles = map[Kind]style{
	Ahead:   {0, 5},
	Say:     {100, 4},
	Safety:  {0, 1},
	Now:     {80, 6},
	Last:    {60, 2},
	Finish:  {60, 2},
	Set:     {50, 2},
	Halfway: {50, 3},
	Left:    {40, 6},
	Welcome: {40, 1},
}

// A call is something the coach wants to say in one stretch of time, in one of
// several wordings.
type call struct {
	kind  Kind
	after []Kind // kinds that must not come before it
	pos   problem.Pos
	ways  []way
}

// A way is one wording of a call with its window, in time from the stretch's start.
type way struct {
	text             string
	rank             int
	spoken           Spoken
	from, to, prefer time.Duration
}

// A stretch is the time from one change to the next, opening and closing too.
type stretch struct {
	segment       int           // -1 for opening and closing
	start, length time.Duration // start on the class clock
	// from is when the first sentence may start, after the tone; to is when the
	// last must end, before the count.
	from, to time.Duration
	calls    []call
}

// add appends a call with those of its ways that fit the stretch at all.
// It returns false where there is no way to say it.
func (st *stretch) add(c call) {
	if len(c.ways) > 0 {
		st.calls = append(st.calls, c)
	}
}

// A variant is one set of slots for a call's wordings, and the window in which
// the wordings with these slots may start.
type variant struct {
	slots  []phrase.Slot
	window func(way) way
}

// wordings are the ways to make a call that the voice can say, or, where it can
// say none, the fullest without a name, so that the list is complete when the
// recordings are; it notes what is missing then.
func (s *scheduler) wordings(kind Kind, key string, pos problem.Pos, variants ...variant) []way {
	var ways []way
	var unsaid *way
	var lacking []string
	seen := map[string]bool{} // a wording without the slots that vary comes up once
	for _, v := range variants {
		for _, w := range s.book.Wordings(key, v.slots...) {
			if seen[w.Text] {
				continue
			}
			seen[w.Text] = true
			spoken, missing := s.voice.Speak(w.Text)
			x := v.window(way{text: w.Text, rank: w.Rank, spoken: spoken})
			switch {
			case len(missing) == 0:
				ways = append(ways, x)
			case len(w.Names) > 0:
				s.noteNames(w.Names)
			case unsaid == nil:
				unsaid, lacking = &x, missing
			}
		}
	}
	if len(ways) == 0 && unsaid != nil && s.noteUnrecorded(kind, unsaid.text, lacking, pos) {
		ways = append(ways, *unsaid)
	}
	return ways
}

// within is a window for wordings that say nothing about the time that remains.
func within(from, to, prefer time.Duration) func(way) way {
	return func(w way) way {
		w.from, w.to, w.prefer = from, to, prefer
		return w
	}
}

// truthful narrows a way's window so that the first word of the time it speaks
// of is heard within Tolerance of that time before the stretch's end, with
// every take.
func (st *stretch) truthful(w way, time phrase.Slot, remains time.Duration) way {
	word := phrase.Find(w.spoken.Words, phrase.Words(time.Text))
	if word < 0 {
		return w
	}
	heard := w.spoken.When[word]
	w.from = max(w.from, st.length-remains-Tolerance-heard.From)
	w.to = min(w.to, st.length-remains+Tolerance-heard.To)
	return w
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
func (st *stretch) solve() (placed []Cue, left []call, ok bool) {
	p := place.Problem{Gap: ceilTick(breath)}
	for _, c := range st.calls {
		var pc place.Call
		for i, other := range st.calls {
			if slices.Contains(c.after, other.kind) {
				pc.After = append(pc.After, i)
			}
		}
		style := styles[c.kind]
		for _, w := range c.ways {
			value := style.weight*points - int64(w.rank)*rankCost
			if must := mustValue[c.kind]; must > 0 {
				value = must - int64(w.rank)*mustRank[c.kind]
			}
			length := max(1, ceilTick(w.spoken.Length))
			pc.Options = append(pc.Options, place.Option{
				Value:  max(value, points),
				Length: length,
				From:   ceilTick(max(w.from, st.from)),
				To:     min(floorTick(w.to), floorTick(st.to)-length),
				Prefer: floorTick(w.prefer),
				Slope:  perSecond(style.slope),
			})
		}
		p.Calls = append(p.Calls, pc)
	}
	choices, _ := place.Solve(p)
	made := map[int]bool{}
	for _, ch := range choices {
		c := &st.calls[ch.Call]
		made[ch.Call] = true
		w := c.ways[ch.Option]
		placed = append(placed, Cue{
			Start: st.start + time.Duration(ch.Start)*tick, Length: w.spoken.Length,
			Lane: Speech, Kind: c.kind, Text: w.text, Segment: st.segment, Pos: c.pos,
		})
	}
	ok = true
	for i, c := range st.calls {
		if !made[i] {
			left = append(left, c)
			ok = ok && mustValue[c.kind] == 0
		}
	}
	return placed, left, ok
}

// time words a length of time for a slot; an empty text drops the wordings that need it.
func (s *scheduler) time(d time.Duration) phrase.Slot {
	text, _ := s.book.Time(d)
	return phrase.Slot{Name: "time", Text: text}
}

// changeCalls is the warning of the change at the end of a stretch. to is nil
// at the end of the class, from nil at its start.
func (s *scheduler) changeCalls(st *stretch, from, to *class.Segment, pos problem.Pos) {
	ahead := s.plan.Calls.Ahead.Value
	key := "ahead"
	var slots []phrase.Slot
	switch {
	case to == nil:
		key = "end"
	case from == nil:
		key = "first"
		slots = []phrase.Slot{
			{Name: "effort", Text: to.Effort, Named: true},
			{Name: "targets", Text: s.book.Change(s.units, s.class.Step, nil, to.Target).All},
		}
	default:
		change := s.book.Change(s.units, s.class.Step, &from.Target, to.Target)
		slots = []phrase.Slot{
			{Name: "effort", Text: to.Effort, Named: true},
			{Name: "changes", Text: change.Full},
			{Name: "needed", Text: change.Needed},
		}
	}
	earliest, latest, prefer := st.length-ahead, st.length, st.length-ahead
	var variants []variant
	if key == "first" {
		// However long the opening is, the numbers come when they are dialled in, and
		// early enough where there is room.
		earliest, prefer = 0, st.length-Early-time.Second
		if st.length >= 2*Early {
			latest = st.length - Early
		}
	} else {
		for _, seconds := range warnings(ahead) {
			slot := s.time(seconds)
			variants = append(variants, variant{append(slices.Clone(slots), slot), func(w way) way {
				return st.truthful(within(earliest, latest, prefer)(w), slot, seconds)
			}})
		}
	}
	variants = append(variants, variant{slots, within(earliest, latest, prefer)})
	st.add(call{kind: Ahead, pos: pos, ways: s.wordings(Ahead, key, pos, variants...)})
}

// warnings are the lengths of time a warning may speak of: whole fives of
// seconds from 10 s up, and the plan's own.
func warnings(ahead time.Duration) []time.Duration {
	list := []time.Duration{ahead}
	for d := ahead.Truncate(5 * time.Second); d >= 10*time.Second; d -= 5 * time.Second {
		if d != ahead {
			list = append(list, d)
		}
	}
	return list
}

// segmentCalls are the calls of a segment besides the warning of the next.
func (s *scheduler) segmentCalls(st *stretch, i int) {
	seg := &s.class.Segments[i]
	const soon = 5 * time.Second

	length := s.time(seg.Length)
	key := "now"
	slots := []phrase.Slot{{Name: "effort", Text: seg.Effort, Named: true}, length}
	if (i == 0 || s.class.Segments[i-1].Part != seg.Part) && s.parts > 1 {
		key = "now-part"
		slots = append(slots, phrase.Slot{Name: "part", Text: s.book.Part(seg.Part)})
	}
	st.add(call{kind: Now, pos: seg.Pos, after: []Kind{Ahead, Set, Last, Left},
		ways: s.wordings(Now, key, seg.Pos, variant{slots, within(st.from, soon, st.from)})})

	if seg.FirstOfSet && seg.Sets > 1 {
		kind, key := Set, "set"
		if seg.Set == seg.Sets {
			kind, key = Last, "last"
		}
		number, _ := s.book.Cardinal(int64(seg.Set))
		of, _ := s.book.Cardinal(int64(seg.Sets))
		slots := []phrase.Slot{{Name: "set", Text: number}, {Name: "sets", Text: of}}
		st.add(call{kind: kind, pos: seg.Pos, after: []Kind{Ahead},
			ways: s.wordings(kind, key, seg.Pos, variant{slots, within(st.from, 2*soon, st.from+2*time.Second)})})
	}

	for _, left := range s.plan.Calls.Left {
		// Just after the length was told, the time left is no news.
		if remains := left.Value; seg.Length >= remains+10*time.Second && remains != s.plan.Calls.Ahead.Value {
			slot := s.time(remains)
			at := st.length - remains
			st.add(call{kind: Left, pos: seg.Pos, ways: s.wordings(Left, "left", seg.Pos, variant{[]phrase.Slot{slot}, func(w way) way {
				return st.truthful(within(at-2*Tolerance, at+Tolerance, at)(w), slot, remains)
			}})})
		}
	}

	half := s.class.Length / 2
	if s.class.Length >= 4*time.Minute && half >= seg.Start && half < seg.End() {
		at := half - seg.Start
		st.add(call{kind: Halfway, pos: seg.Pos,
			ways: s.wordings(Halfway, "halfway", seg.Pos, variant{nil, within(at-soon, at+soon, at)})})
	}

	for _, say := range seg.FixedCues {
		spoken, missing := s.voice.Speak(say.Text)
		if len(missing) > 0 {
			s.noteUnrecorded(Say, say.Text, missing, say.Pos)
		}
		w := within(say.At-Tolerance, say.At+Tolerance, say.At)(way{text: say.Text, spoken: spoken})
		st.add(call{kind: Say, pos: say.Pos, ways: []way{w}})
	}
}

// openingCalls are the welcome and the safety line.
func (s *scheduler) openingCalls(st *stretch) {
	pos := s.plan.Class.Pos
	name := []phrase.Slot{{Name: "class", Text: s.plan.Class.Value, Named: true}}
	st.add(call{kind: Welcome, pos: pos, after: []Kind{Safety, Ahead},
		ways: s.wordings(Welcome, "welcome", pos, variant{name, within(st.from, st.to, st.from)})})
	st.add(call{kind: Safety, pos: pos, after: []Kind{Ahead},
		ways: s.wordings(Safety, "safety", pos, variant{nil, within(st.from, st.to, st.from+2*time.Second)})})
}

// closingCalls is the last sentence.
func (s *scheduler) closingCalls(st *stretch) {
	pos := s.plan.Class.Pos
	st.add(call{kind: Finish, pos: pos, ways: s.wordings(Finish, "finish", pos, variant{nil, within(st.from, st.to, st.from)})})
}
