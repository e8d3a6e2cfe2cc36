// Package advise warns of what a body, or a treadmill, might not take well. It
// warns with the reason and the figure and forbids nothing: the limits are the
// plan's own (its key advice), the METs are estimates, and whoever knows the
// runners and the machines knows better.
package advise

import (
	"fmt"
	"strings"
	"time"

	"cuewright/plan/class"
	"cuewright/plan/class/effort"
	"cuewright/plan/parts"
	"cuewright/plan/problem"
	"cuewright/plan/settings"
	"cuewright/plan/units"
	"cuewright/plan/value"
)

// What is warned of.
const (
	noWarmUp         problem.Kind = "no-warm-up"
	noCoolDown       problem.Kind = "no-cool-down"
	steepChange      problem.Kind = "steep-change"
	hardRecovery     problem.Kind = "hard-recovery"
	outOfRange       problem.Kind = "out-of-range"
	hardForBeginners problem.Kind = "hard-for-beginners"
)

// Class returns the advice on a class, all of it warnings; one for a place of the
// plan, however often it is run.
func Class(c *class.Class) []problem.Problem {
	a := adviser{class: c, units: c.Units, limits: &c.Plan.Advice, told: map[string]bool{}}
	a.parts()
	for i := range c.Segments {
		a.machine(&c.Segments[i])
		if i > 0 && !c.Segments[i].Target.Floor && !c.Segments[i-1].Target.Floor {
			a.change(&c.Segments[i-1], &c.Segments[i])
		}
		if c.Segments[i].Between && !c.Segments[i].Target.Floor {
			a.recovery(i)
		}
	}
	a.beginners()
	return a.out
}

type adviser struct {
	class  *class.Class
	units  units.Unit
	limits *settings.Advice
	told   map[string]bool
	out    []problem.Problem
}

func (a *adviser) warn(kind problem.Kind, pos problem.Pos, format string, args ...any) {
	a.out = append(a.out, problem.Problem{Severity: problem.Warning, Kind: kind, File: a.class.Plan.File, Pos: pos,
		Message: fmt.Sprintf(format, args...)})
}

// warnAt warns of a segment once; the segment before it counts where a change is
// the matter.
func (a *adviser) warnAt(kind problem.Kind, before, s *class.Segment, format string, args ...any) {
	key := fmt.Sprint(kind, s.Pos)
	if before != nil {
		key += fmt.Sprint(before.Pos)
	}
	if a.told[key] {
		return
	}
	a.told[key] = true
	a.warn(kind, s.Pos, format, args...)
	p := &a.out[len(a.out)-1]
	p.At, p.Timed = s.Start, true
}

// parts warns where warm-up or cool-down are missing or short.
func (a *adviser) parts() {
	length := map[parts.Part]time.Duration{}
	for _, s := range a.class.Segments {
		length[s.Part] += s.Length
	}
	for _, x := range []struct {
		part parts.Part
		kind problem.Kind
		want time.Duration
	}{
		{parts.WarmUp, noWarmUp, a.limits.WarmUp.Value},
		{parts.CoolDown, noCoolDown, a.limits.CoolDown.Value},
	} {
		const usual = "5 to 10 minutes are usual (ACSM)"
		switch got := length[x.part]; {
		case got >= x.want:
		case got == 0:
			a.warn(x.kind, a.class.Plan.Class.Pos, "the class has no %s; %s", x.part, usual)
		case x.want > 10*time.Minute:
			a.warn(x.kind, a.class.Plan.Class.Pos, "the %s lasts %s, less than the %s set under advice", x.part, units.FormatLength(got), units.FormatLength(x.want))
		default:
			a.warn(x.kind, a.class.Plan.Class.Pos, "the %s lasts %s; %s", x.part, units.FormatLength(got), usual)
		}
	}
}

// machine warns where a segment asks for more than the treadmills do.
func (a *adviser) machine(s *class.Segment) {
	l, t := a.limits, s.Target
	var asks, does []string
	top := units.RateOf(l.TopSpeed.Units, l.TopSpeed.Value)
	if a.rate(t.Speed.High).Compare(top) > 0 {
		limit := l.TopSpeed.String()
		if l.TopSpeed.Units != a.units {
			limit += fmt.Sprintf(" (%s %s)", a.units.Format(top.In(a.units)), a.units)
		}
		asks = append(asks, fmt.Sprintf("%s %s", a.units.Format(t.Speed.High), a.units))
		does = append(does, "end at "+limit)
	}
	if t.Incline > l.TopIncline.Value || t.Incline < l.LowIncline.Value {
		asks = append(asks, fmt.Sprintf("an incline of %s %%", units.FormatTenths(t.Incline)))
		does = append(does, fmt.Sprintf("go from %s to %s %%", units.FormatTenths(l.LowIncline.Value), units.FormatTenths(l.TopIncline.Value)))
	}
	if len(asks) > 0 {
		a.warnAt(outOfRange, nil, s, "it asks for %s; common treadmills %s: see what yours do", strings.Join(asks, " and "), strings.Join(does, " and "))
	}
}

func (a *adviser) rate(s units.Speed) units.Rate { return units.RateOf(a.units, s) }

// change warns of a jump in speed or incline.
func (a *adviser) change(before, s *class.Segment) {
	limit := units.RateOf(a.limits.SpeedChange.Units, a.limits.SpeedChange.Value)
	worst, from, to := 0.0, units.Speed(0), units.Speed(0)
	for _, x := range [][2]units.Speed{{before.Target.Speed.Low, s.Target.Speed.Low}, {before.Target.Speed.High, s.Target.Speed.High}} {
		p, q := a.rate(x[0]), a.rate(x[1])
		if !p.IsSet() || !q.IsSet() || !p.Differs(q, limit) {
			continue
		}
		if d := max(p.MetresPerMinute()-q.MetresPerMinute(), q.MetresPerMinute()-p.MetresPerMinute()); d > worst {
			worst, from, to = d, x[0], x[1]
		}
	}
	if worst > 0 {
		by := ""
		if a.units.Pace() { // a difference of paces says little
			u := a.limits.SpeedChange.Units
			by = fmt.Sprintf(", by %.1f %s", worst/units.RateOf(u, 10).MetresPerMinute(), u)
		}
		a.warnAt(steepChange, before, s, "speed goes from %s to %s %s at once%s; a step between is easier to take where it changes by more than %s",
			a.units.Format(from), a.units.Format(to), a.units, by, a.limits.SpeedChange)
		return
	}
	limitIncline := a.limits.InclineChange.Value
	if d := s.Target.Incline - before.Target.Incline; s.Target.HasIncline && (d > limitIncline || d < -limitIncline) {
		a.warnAt(steepChange, before, s, "incline goes from %s to %s %% at once; a step between is easier to take where it changes by more than %s %%",
			units.FormatTenths(before.Target.Incline), units.FormatTenths(s.Target.Incline), units.FormatTenths(limitIncline))
	}
}

// recovery warns where segment i, between two sets, is harder than all of the
// work before and after it, at the fast end of the ranges.
func (a *adviser) recovery(i int) {
	s := &a.class.Segments[i]
	var fastest units.Speed
	hardest, estimated, steepest := 0.0, true, s.Target.Incline
	for _, w := range a.around(i) {
		mets, ok := a.fastEnd(w)
		estimated = estimated && ok
		hardest = max(hardest, mets)
		steepest = max(steepest, w.Target.Incline)
		if high := w.Target.Speed.High; a.rate(high).Compare(a.rate(fastest)) > 0 {
			fastest = high
		}
	}
	rest, ok := a.fastEnd(s)
	switch {
	case ok && estimated:
		if rest > hardest+0.05 { // what the figures show
			a.warnAt(hardRecovery, nil, s, "the recovery asks for about %.1f METs, the work around it for %.1f (estimates at the fast end, ACSM equations)", rest, hardest)
		}
	// Without estimates: faster and no less steep is harder by any equation.
	case fastest > 0 && a.rate(s.Target.Speed.High).Compare(a.rate(fastest)) > 0 && steepest == s.Target.Incline:
		a.warnAt(hardRecovery, nil, s, "the recovery goes up to %s %s and is no less steep, the work around it up to %s",
			a.units.Format(s.Target.Speed.High), a.units, a.units.Format(fastest))
	}
}

// around returns the work of the set before the recovery at segment i and of the
// one after it.
func (a *adviser) around(i int) []*class.Segment {
	all := a.class.Segments
	from, to := i, i
	near := func(k int) bool {
		block, set := all[k].Block, all[k].Set
		if all[k].Outer.Block == all[i].Block { // sets within the one that ends or begins here
			block, set = all[k].Outer.Block, all[k].Outer.Set
		}
		return block == all[i].Block && (set == all[i].Set || set == all[i].Set+1)
	}
	for from > 0 && near(from-1) {
		from--
	}
	for to+1 < len(all) && near(to+1) {
		to++
	}
	var work []*class.Segment
	for k := from; k <= to; k++ {
		if !all[k].Between || all[k].Block != all[i].Block {
			work = append(work, &all[k])
		}
	}
	return work
}

// fastEnd estimates the METs of a segment at the fast end of its range.
func (a *adviser) fastEnd(s *class.Segment) (mets float64, ok bool) {
	_, vo2, wide, gap := effort.VO2Range(a.rate(s.Target.Speed.High), s.Target)
	return vo2 / effort.Rest, gap == "" && !wide
}

// beginners warns where a class for beginners is hard for long, even for who
// stays at the slow end of every range. What has no estimate does not count.
func (a *adviser) beginners() {
	if a.class.Plan.Audience.Value != value.Beginners {
		return
	}
	limit := float64(a.limits.Hard.Value) / 10
	hard := time.Duration(0)
	for i := range a.class.Segments {
		e := effort.Of(a.units, &a.class.Segments[i], 0)
		if e.METs().Low >= limit {
			hard += e.Length
		}
	}
	share := int64(a.limits.HardShare.Value)
	// Exact: both are whole milliseconds, far from the bounds of an int64. The figure
	// is rounded up, so that it shows to be more.
	ms, all := hard.Milliseconds()*100, a.class.Length.Milliseconds()
	if percent := (ms + all - 1) / all; ms > share*all {
		a.warn(hardForBeginners, a.class.Plan.Audience.Pos,
			"%s of %s (%d %%) ask for %s METs or more even at the slow end, more than %d %%: very hard for many beginners (estimates, ACSM equations)",
			units.FormatLength(hard), units.FormatLength(a.class.Length), percent, units.FormatTenths(a.limits.Hard.Value), share)
	}
}
