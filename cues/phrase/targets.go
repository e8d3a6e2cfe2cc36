package phrase

import (
	"cuewright/plan/class"
	"cuewright/plan/parts"
	"cuewright/plan/strict"
	"cuewright/plan/units"
)

// A Change is what a runner has to do at the start of a segment, in words.
type Change struct {
	// All names every target: "speed eight to eleven, incline five".
	All string
	// Full names what changes and says what stays ("incline five, keep your speed"),
	// and that a speed rises by one step.
	Full string
	// Brief is Full without what stays, but where nothing changes.
	Brief string
	// Needed names only what changes; where nothing does it is Full.
	Needed string
	// Parts are the phrases of Needed that must be heard before the change,
	// none where nothing changes.
	Parts []string
	// Speed is the bare number of Parts where they are a speed or pace alone.
	Speed string
}

// Change words the way from one target to the next. Speeds are in u; step is the
// machine's smallest step in it, 0 where none is spoken of. from is nil at the start
// of a class, where everything changes, as it does after a time off the belt. Off the belt nothing is dialled in, and
// the Change is empty.
func (b *Book) Change(u units.Unit, step units.Speed, from *class.Target, to class.Target) Change {
	if to.Floor {
		return Change{}
	}
	if from != nil && from.Floor { // the belt was stopped: whatever it ran at is gone
		from = nil
	}
	pace := b.pace(u, to)
	samePace := from != nil && from.ByFeel == to.ByFeel && from.Speed == to.Speed && from.RPE == to.RPE
	full := pace.text
	if from != nil && pace.up != "" && rises(u, step, *from, to) {
		full += ", " + pace.up
	}
	if !to.HasIncline {
		if samePace {
			return Change{All: pace.text, Full: pace.keep, Brief: pace.keep, Needed: pace.keep}
		}
		return Change{All: pace.text, Full: full, Brief: full, Needed: pace.text, Parts: []string{pace.text}, Speed: pace.bare}
	}
	slope := b.Targets.Incline
	if to.Incline < 0 { // "minus one" is heard as one less
		slope = b.Targets.Downhill
	}
	number, _ := b.Number(max(to.Incline, -to.Incline))
	incline := fill(slope, "{incline}", number)
	all := pace.text + ", " + incline
	sameIncline := from != nil && from.Incline == to.Incline
	switch {
	case samePace && sameIncline:
		return Change{All: all, Full: pace.keepAll, Brief: pace.keepAll, Needed: pace.keepAll}
	case samePace:
		return Change{All: all, Full: incline + ", " + pace.keep, Brief: incline, Needed: incline, Parts: []string{incline}}
	case sameIncline:
		return Change{All: all, Full: full + ", " + b.Targets.KeepIncline.Value, Brief: full, Needed: pace.text, Parts: []string{pace.text}, Speed: pace.bare}
	}
	return Change{All: all, Full: full + ", " + incline, Brief: full + ", " + incline, Needed: all, Parts: []string{pace.text, incline}}
}

// paced is how a book speaks of a speed, a pace or a feel.
type paced struct {
	text          string // names it
	keep, keepAll string // it stays, alone or with the incline
	bare          string // its number alone; nothing of a feel, which no key has
	up            string // it rises by a step; nothing where there are no words
}

func (b *Book) pace(u units.Unit, to class.Target) paced {
	t := &b.Targets
	switch {
	case to.ByFeel:
		return paced{fill(t.Feel, "{feel}", b.Feel(to.RPE)), t.KeepFeel.Value, t.KeepAllFeel.Value, "", ""}
	case u.Pace():
		return paced{fill(t.Pace, "{speed}", b.Range(u, to.Speed)), t.KeepPace.Value, t.KeepAllPace.Value, b.Range(u, to.Speed), t.StepUpPace.Value}
	}
	return paced{fill(t.Speed, "{speed}", b.Range(u, to.Speed)), t.KeepSpeed.Value, t.KeepAll.Value, b.Range(u, to.Speed), t.StepUp.Value}
}

// rises reports whether the one number of to is a step above the one of from.
func rises(u units.Unit, step units.Speed, from, to class.Target) bool {
	return step > 0 && !from.ByFeel && !to.ByFeel && from.Speed.Single() && to.Speed.Single() &&
		u.Faster(to.Speed.Low, from.Speed.Low) == int64(step)
}

// Part says the name of a part of a class.
func (b *Book) Part(p parts.Part) string {
	return map[parts.Part]strict.Text{parts.WarmUp: b.Parts.WarmUp, parts.Main: b.Parts.Main, parts.CoolDown: b.Parts.CoolDown}[p].Value
}
