package phrase

import "cuewright/plan"

// A Change is what a runner has to do at the start of a segment, in words.
type Change struct {
	// All names every target: "speed eight to eleven, incline five".
	All string
	// Full names what changes and says what stays: "incline five, keep your speed".
	Full string
	// Needed names only what changes; where nothing does it is Full.
	Needed string
	// Parts are the phrases of Needed that must be heard before the change,
	// none where nothing changes.
	Parts []string
}

// Change words the way from one target to the next. from is nil at the start
// of a class, where everything changes.
func (b *Book) Change(u plan.Units, from *plan.Target, to plan.Target) Change {
	speedForm, keepSpeed, keepAll := b.Targets.Speed, b.Targets.KeepSpeed, b.Targets.KeepAll
	if u.Pace() {
		speedForm, keepSpeed, keepAll = b.Targets.Pace, b.Targets.KeepPace, b.Targets.KeepAllPace
	}
	speed := fill(speedForm, "{speed}", b.Range(u, to.Speed))
	if !to.Graded {
		c := Change{All: speed, Full: speed, Needed: speed, Parts: []string{speed}}
		if from != nil && from.Speed == to.Speed {
			c = Change{All: speed, Full: keepSpeed.Value, Needed: keepSpeed.Value}
		}
		return c
	}
	number, _ := b.Number(to.Incline)
	incline := fill(b.Targets.Incline, "{incline}", number)
	all := speed + ", " + incline
	sameSpeed := from != nil && from.Speed == to.Speed
	sameIncline := from != nil && from.Incline == to.Incline
	switch {
	case sameSpeed && sameIncline:
		return Change{All: all, Full: keepAll.Value, Needed: keepAll.Value}
	case sameSpeed:
		return Change{All: all, Full: incline + ", " + keepSpeed.Value, Needed: incline, Parts: []string{incline}}
	case sameIncline:
		return Change{All: all, Full: speed + ", " + b.Targets.KeepIncline.Value, Needed: speed, Parts: []string{speed}}
	}
	return Change{All: all, Full: all, Needed: all, Parts: []string{speed, incline}}
}

// Part says the name of a part of a class.
func (b *Book) Part(p plan.Part) string {
	switch p {
	case plan.WarmUp:
		return b.Parts.WarmUp.Value
	case plan.CoolDown:
		return b.Parts.CoolDown.Value
	}
	return b.Parts.Main.Value
}
