// Package role tells what each segment of a class is for: what its plan says, or else a guess by one stated rule.
package role

import (
	"fmt"
	"slices"

	"cuewright/plan/class"
	"cuewright/plan/class/effort"
	"cuewright/plan/parts"
	"cuewright/plan/problem"
	"cuewright/plan/units"
	"cuewright/plan/value"
)

// A Guess is what a segment is for.
type Guess struct {
	Role value.Role
	// Said is set where the plan says so.
	Said bool
	// Close is set where a guess hangs on little.
	Close bool
}

// How much easier a recovery is than what is harder on both sides of it: METs at the middle of the range where both have an
// estimate, else a share of the speed, or of felt effort tenths. A rule of ours, without a source.
const (
	easierMETs  = 1.0
	easierSpeed = 0.10
	easierFeel  = 15.0
	// close is how near to that, as a part of it, a guess is close.
	close = 0.25
)

// Of tells what each segment is for, in their order. In the main part what stands between sets is recovery, and so is a
// valley, a segment that is easier than what is harder on both sides of it, with every other segment of its effort. All else
// there is work. Warm-up and cool-down are easy, but for efforts that are work in the main part; a peak there is a close guess.
func Of(c *class.Class) []Guess {
	out := make([]Guess, len(c.Segments))
	valleys, near := map[string]bool{}, map[string]bool{}
	all := loads(c)
	for i := range c.Segments {
		s := &c.Segments[i]
		if s.Part != parts.Main || s.Role != "" {
			continue
		}
		switch m := margin(all, i); {
		case s.Between:
			valleys[key(s)] = true
		case m >= 1:
			valleys[key(s)] = true
			near[key(s)] = near[key(s)] || m < 1+close
		case m > 1-close:
			near[key(s)] = true
		}
	}
	worked := map[string]bool{}
	for i := range c.Segments {
		s := &c.Segments[i]
		g := Guess{Role: s.Role, Said: s.Role != ""}
		if !g.Said && s.Part == parts.Main {
			g.Role, g.Close = value.Work, near[key(s)]
			if valleys[key(s)] {
				g.Role = value.Recovery
			}
		}
		if g.Role == value.Work && s.Part == parts.Main && s.Effort != "" {
			worked[s.Effort] = true
		}
		out[i] = g
	}
	for i := range c.Segments {
		if s := &c.Segments[i]; out[i].Role == "" {
			out[i].Role, out[i].Close = value.Easy, peak(c, all, i)
			if worked[s.Effort] {
				out[i].Role, out[i].Close = value.Work, false
			}
		}
	}
	return out
}

// key is what segments of one role have in common: their effort, or their place in the plan.
func key(s *class.Segment) string {
	if s.Effort != "" {
		return "effort " + s.Effort
	}
	return fmt.Sprint(s.Pos)
}

// A load is how hard a segment is, in whatever can be compared.
type load struct {
	key                int // of its effort or place
	main, felt, known  bool
	floor              bool // nothing to compare, and passed over
	mets, speed, tenth float64
	first, last        int // of the run of equal ones that it is in
}

// loads weighs every segment once: they are compared many times.
func loads(c *class.Class) []load {
	keys := map[string]int{}
	out := make([]load, len(c.Segments))
	for i := range c.Segments {
		s := &c.Segments[i]
		if _, ok := keys[key(s)]; !ok {
			keys[key(s)] = len(keys)
		}
		e, t := effort.Of(c.Units, s, 0), s.Target
		l := load{key: keys[key(s)], main: s.Part == parts.Main, felt: t.ByFeel, known: e.Known(), floor: t.Floor}
		l.mets = (e.METs().Low + e.METs().High) / 2
		l.tenth = float64(t.RPE.Low+t.RPE.High) / 2
		if !t.ByFeel && !t.Floor {
			l.speed = (units.RateOf(c.Units, t.Speed.Low).MetresPerMinute() + units.RateOf(c.Units, t.Speed.High).MetresPerMinute()) / 2
		}
		out[i] = l
	}
	// Runs of equal ones are passed over at once.
	for i := range out {
		if out[i].first = i; i > 0 && out[i-1].equals(&out[i]) {
			out[i].first = out[i-1].first
		}
	}
	for i := len(out) - 1; i >= 0; i-- {
		if out[i].last = i; i+1 < len(out) && out[i+1].equals(&out[i]) {
			out[i].last = out[i+1].last
		}
	}
	return out
}

func (l *load) equals(m *load) bool {
	return l.key == m.key && l.main == m.main && l.felt == m.felt && l.known == m.known && l.mets == m.mets && l.speed == m.speed && l.tenth == m.tenth
}

// margin is by how much segment i lies under what is harder on both sides of it, 1 for the least that makes it a valley;
// 0 where nothing is harder on one side.
func margin(all []load, i int) float64 {
	side := func(from, step int) float64 {
		most := 0.0
		for k := from + step; k >= 0 && k < len(all) && all[k].main; k += step {
			if all[k].floor {
				continue
			}
			by := harder(&all[k], &all[i])
			if by <= 0 && all[k].key != all[i].key {
				break // it is easier, or as hard: what lies behind it is not beside i
			}
			most = max(most, by)
			if by >= 1 {
				break
			}
		}
		return most
	}
	return min(side(all[i].first, -1), side(all[i].last, 1))
}

// peak reports whether segment i is harder than the two beside it: in a warm-up it may be meant as work.
func peak(c *class.Class, all []load, i int) bool {
	if i == 0 || i+1 == len(c.Segments) || c.Segments[i+1].Part != c.Segments[i].Part {
		return false
	}
	return harder(&all[i], &all[i-1]) >= 1 && harder(&all[i], &all[i+1]) >= 1
}

// harder is by how much a is harder than b, in parts of what makes a recovery; 0 where they cannot be compared.
func harder(a, b *load) float64 {
	switch {
	case a.known && b.known:
		return (a.mets - b.mets) / easierMETs
	case a.felt && b.felt:
		return (a.tenth - b.tenth) / easierFeel
	case a.felt || b.felt || b.speed == 0:
		return 0
	}
	return (a.speed/b.speed - 1) / easierSpeed
}

// unsure is a guess that hangs on little.
const unsure problem.Kind = "role-unsure"

// Check notes guesses that are close, once for each effort or segment of the plan.
func Check(c *class.Class) []problem.Problem {
	var out []problem.Problem
	var seen []string
	for i, g := range Of(c) {
		s := &c.Segments[i]
		if !g.Close || slices.Contains(seen, key(s)) {
			continue
		}
		seen = append(seen, key(s))
		pos, name := s.Pos, "this segment"
		if s.Effort != "" {
			pos, name = s.EffortPos, "the effort \""+s.Effort+"\""
		}
		out = append(out, c.Plan.Problem(problem.Warning, unsure, pos, "%s is taken for %s, and by little: say role: work or role: recovery", name, g.Role))
	}
	return out
}
