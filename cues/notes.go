package cues

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"cuewright/cues/calls"
	"cuewright/cues/kind"
	"cuewright/plan"
	"cuewright/plan/problem"
	"cuewright/plan/units"
)

// What is found while a list is made. A text that must be said is Unrecorded where the
// voice has no recording of some of its words.
const (
	leftOut    problem.Kind = "left-out"
	unsaidName problem.Kind = "unsaid-name"
	Unrecorded problem.Kind = "unrecorded"
)

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
func (n *notes) leftOut(st *calls.Stretch, r room, placed []Cue, left []candidate) {
	for _, c := range left {
		if c.Kind == kind.Ahead {
			continue // the check says that the change is not warned of
		}
		o := c.options[len(c.options)-1]
		from, to := st.Start+max(o.from, r.from), st.Start+min(o.to, r.to)+o.spoken.Length
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
		case o.from >= r.from && o.from+o.spoken.Length > r.to && r.to < st.Length:
			why = "it would run into the count, which begins at " + units.FormatClock(st.Start+r.to+calls.BeforeCount)
		}
		n.add("left-out "+string(c.Kind)+" "+fmt.Sprint(c.Pos)+" "+leftKey(c), problem.Problem{
			Severity: problem.Warning, Kind: leftOut, Pos: c.Pos, Timed: true, At: st.Start + max(0, o.prefer),
			Message: strconv.Quote(c.options[0].Text) + " has no room: " + why,
		})
	}
}

// leftKey tells calls of one kind and place apart: the time-left calls of a
// segment, not the numbers of its sets.
func leftKey(c candidate) string {
	if c.Kind == kind.Left || c.Kind == kind.Say {
		return c.options[0].Text
	}
	return ""
}

// noteNames warns of names the voice cannot say.
func (p *placer) noteNames(names []string) {
	for _, name := range names {
		if _, missing := p.voice.Measure(name); len(missing) == 0 {
			continue
		}
		pos := p.class.Plan.Class.Pos
		for i, key := range p.class.Plan.Efforts.Keys {
			if key.Value == name {
				pos = p.class.Plan.Efforts.Keys[i].Pos
			}
		}
		for _, b := range p.class.Plan.Blocks {
			if b.Name.Value == name {
				pos = b.Name.Pos
			}
		}
		if p.notes.found["name "+name] == nil {
			p.notes.add("name "+name, problem.Problem{Severity: problem.Warning, Kind: unsaidName, Pos: pos,
				Message: "the voice has no recording of " + strconv.Quote(name) + ": it is called without its name"})
		}
	}
}

// noteUnrecorded notes a call that can be said in no wording and tells whether
// it stands in the list all the same, because it must be recorded.
func (p *placer) noteUnrecorded(k kind.Kind, spare bool, text string, missing []string, pos problem.Pos) bool {
	found := problem.Problem{Severity: problem.Error, Kind: Unrecorded, Pos: pos, Message: CannotSay(text, missing)}
	if spare || k == kind.Welcome || k == kind.Reminder {
		found.Severity, found.Kind = problem.Warning, leftOut
	}
	p.notes.add("unrecorded "+strings.Join(missing, ","), found)
	return found.Severity == problem.Error
}

// CannotSay is the message about a text the voice cannot say.
func CannotSay(text string, missing []string) string {
	m := fmt.Sprintf("the voice cannot say %q, not recorded: ", text)
	for i, word := range missing {
		if i > 0 {
			m += ", "
		}
		m += strconv.Quote(word)
	}
	return m
}
