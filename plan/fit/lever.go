package fit

import (
	"cuewright/plan"
	"cuewright/plan/parts"
	"fmt"
	"time"
)

// A lever is a segment as written, seen as something that can be longer or shorter.
type lever struct {
	segment *parts.Segment
	part    parts.Part
	block   *parts.Block // nil outside
	outer   *parts.Block // around that, nil for none
	between bool
	times   int
	all     time.Duration // of all times together
}

func levers(p *plan.Plan) []lever {
	var out []lever
	for at := range p.Written {
		times := at.Runs()
		for _, outer := range at.Loops[:max(0, len(at.Loops)-1)] {
			times *= outer.Block.Sets.Value
		}
		l := lever{segment: at.Segment, part: at.Part, block: at.Nearest().Block, between: at.Between, times: times, all: p.AllTime(at)}
		if len(at.Loops) > 1 {
			l.outer = at.Loops[0].Block
		}
		out = append(out, l)
	}
	return out
}

// kind tells the levers apart by what they are to a coach.
func (l lever) kind() string {
	switch {
	case l.between:
		return "recovery"
	case l.block != nil:
		return "work"
	}
	return string(l.part)
}

// move returns the change of a lever by d each of the times it is run, and its cost;
// ok is false where nothing sensible is left: it may double or halve at most.
func (f *offerFinder) move(l lever, d time.Duration, times int) (c Change, cost float64, ok bool) {
	old := l.segment.For.Value // 0 for a distance and for what the length leaves: they take the time they take
	low, high := plan.SegmentBounds()
	if old == 0 || d == 0 || old+d < max(low, old/2) || old+d > min(high, 2*old) {
		return c, 0, false
	}
	// Relative to what it is; work in sets is what the class is about and is left
	// alone if possible, the main part's other segments next.
	cost = float64(d.Abs()) / float64(old)
	switch l.kind() {
	case "work":
		cost *= 2
	case string(parts.Main):
		cost *= 1.5
	case string(parts.WarmUp), string(parts.CoolDown):
		cost += f.partCost(l.part, d)
	}
	switch { // numbers that a coach can keep in mind
	case d%time.Second != 0:
		cost += 0.3
	case d%(5*time.Second) != 0:
		cost += 0.15
	}
	return Change{Pos: l.segment.Pos, Add: d, what: l.words(d, times)}, cost, true
}

// partCost keeps warm-up and cool-down from falling under what is advised, and
// favours what brings them nearer to it.
func (f *offerFinder) partCost(part parts.Part, d time.Duration) float64 {
	want, length := f.plan.Advice.WarmUp.Value, f.length[part]
	if part == parts.CoolDown {
		want = f.plan.Advice.CoolDown.Value
	}
	switch {
	case d < 0 && length+d < want:
		return 1
	case d > 0 && length < want:
		return -0.5
	}
	return 0
}

func (l lever) words(d time.Duration, times int) string {
	more := "more"
	if d < 0 {
		more = "less"
	}
	name, line := "", fmt.Sprintf(" (line %d)", l.segment.Pos.Line)
	if l.segment.Effort.Value != "" {
		name = fmt.Sprintf(" %q", l.segment.Effort.Value)
	}
	what := ""
	switch {
	case l.between && times > 1:
		what = fmt.Sprintf("each of %d recoveries%s", times, name)
	case l.between:
		what = "the recovery" + name
	case times > 1 && name != "":
		what = fmt.Sprintf("each of %d%s", times, name)
	case times > 1:
		what = fmt.Sprintf("each of %d segments", times)
	case name != "":
		what = name[1:]
	default:
		what = "the segment"
	}
	if l.part != parts.Main {
		what += " in the " + string(l.part)
	}
	return fmt.Sprintf("%s %s for %s%s", inWords(d.Abs()), more, what, line)
}
