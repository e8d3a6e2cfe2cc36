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
	for i := range c.Segments {
		s := &c.Segments[i]
		if s.Part != parts.Main || s.Role != "" {
			continue
		}
		switch m := margin(c, i); {
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
			out[i].Role, out[i].Close = value.Easy, peak(c, i)
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

// margin is by how much segment i lies under what is harder on both sides of it, 1 for the least that makes it a valley;
// 0 where nothing is harder on one side.
func margin(c *class.Class, i int) float64 {
	side := func(step int) float64 {
		most := 0.0
		for k := i + step; k >= 0 && k < len(c.Segments) && c.Segments[k].Part == parts.Main; k += step {
			by := harder(c.Units, &c.Segments[k], &c.Segments[i])
			if by <= 0 && key(&c.Segments[k]) != key(&c.Segments[i]) {
				break // it is easier, or as hard: what lies behind it is not beside i
			}
			most = max(most, by)
			if by >= 1 {
				break
			}
		}
		return most
	}
	return min(side(-1), side(1))
}

// peak reports whether segment i is harder than the two beside it: in a warm-up it may be meant as work.
func peak(c *class.Class, i int) bool {
	if i == 0 || i+1 == len(c.Segments) || c.Segments[i+1].Part != c.Segments[i].Part {
		return false
	}
	s := &c.Segments[i]
	return harder(c.Units, s, &c.Segments[i-1]) >= 1 && harder(c.Units, s, &c.Segments[i+1]) >= 1
}

// harder is by how much a is harder than b, in parts of what makes a recovery; 0 where they cannot be compared.
func harder(u units.Unit, a, b *class.Segment) float64 {
	x, y := effort.Of(u, a, 0), effort.Of(u, b, 0)
	middle := func(e effort.Ends[float64]) float64 { return (e.Low + e.High) / 2 }
	switch {
	case x.Known() && y.Known():
		return (middle(x.METs()) - middle(y.METs())) / easierMETs
	case a.Target.ByFeel && b.Target.ByFeel:
		return float64(a.Target.RPE.Low+a.Target.RPE.High-b.Target.RPE.Low-b.Target.RPE.High) / 2 / easierFeel
	case a.Target.ByFeel || b.Target.ByFeel:
		return 0
	}
	speed := func(s *class.Segment) float64 {
		t := s.Target.Speed
		return (units.RateOf(u, t.Low).MetresPerMinute() + units.RateOf(u, t.High).MetresPerMinute()) / 2
	}
	return (speed(a)/speed(b) - 1) / easierSpeed
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
