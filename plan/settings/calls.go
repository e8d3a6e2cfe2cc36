package settings

import (
	"slices"
	"time"

	"cuewright/plan/problem"
	"cuewright/plan/strict"
	"cuewright/plan/units"
)

// Check reports what no single value of the calls can show, and puts the times left in order.
func (c *Calls) Check(r *strict.Reader) {
	checkLeft(c.Ahead, c.Left, r)
	checkRepeat(c.Repeat, r)
	if count := time.Duration(c.Count.From.Value) * time.Second; c.Opening.Value < count+time.Second {
		r.ErrorfAt(c.Opening.Pos, "an opening of %s has no room for a count from %d", units.FormatDuration(c.Opening.Value), c.Count.From.Value)
	}
}

// confirm is what is said of the numbers first after a change.
type confirm string

const (
	confirmChanged confirm = "changed"
	confirmAll     confirm = "all"
	confirmNone    confirm = "none"
)

// ConfirmsAll reports whether all numbers are said after a change, in place of those that changed.
func (c *Calls) ConfirmsAll() bool { return c.Confirm.Value == confirmAll }

// ConfirmsNone reports whether no number is said after a change.
func (c *Calls) ConfirmsNone() bool { return c.Confirm.Value == confirmNone }

// unchanged is whether a number that stays is spoken of.
type unchanged string

const (
	keepUnsure unchanged = "when-unsure"
	keepAlways unchanged = "always"
)

// Keeps reports whether a number that stays is spoken of before a change; unsure is set where it changed at the change before.
func (c *Calls) Keeps(unsure bool) bool {
	return c.Unchanged.Value == keepAlways || c.Unchanged.Value == keepUnsure && unsure
}

// OwnCalls are the calls of one effort or segment, where they are others than the plan's: what holds within it, and for
// the change into it.
type OwnCalls struct {
	Pos       problem.Pos
	Left      []strict.Duration        `key:"left" in:"5s..99m" doc:"within it: how long before its end the time left is called; [] for never"`
	Reminders strict.Duration          `key:"reminders" in:"0s..12h" doc:"within it: a reminder is said where nothing was for this long; 0s for none"`
	Quiet     strict.Duration          `key:"quiet" in:"5s..12h" doc:"within it: a longer silence than this is a gap"`
	SpinUp    strict.Duration          `key:"spin-up" in:"15s..5m" doc:"within it, off the belt: how long before its end one is called back to start the belt"`
	Repeat    strict.Duration          `key:"repeat" in:"0s..12h" doc:"within it: nobody is further than this from hearing the numbers that changed last; 0s for never"`
	Unchanged strict.Choice[unchanged] `key:"unchanged" one-of:"when-unsure always never" doc:"for the change into it: whether a number that stays is spoken of"`
	Confirm   strict.Choice[confirm]   `key:"confirm" one-of:"changed all none" doc:"for the change into it: the numbers said first after it"`
	Ahead     strict.Duration          `key:"ahead" in:"5s..1m" doc:"for the change into it: the warning starts at most this long before"`
	Count     Count                    `key:"count" doc:"for the change into it: how it is counted"`
}

// Check reports what no single value can show, and puts the times left in order.
func (c *OwnCalls) Check(r *strict.Reader) {
	checkLeft(c.Ahead, c.Left, r)
	checkRepeat(c.Repeat, r)
}

// Over are the calls with those of their own that are given.
func (c Calls) Over(own OwnCalls) Calls {
	if own.Left != nil {
		c.Left = own.Left
	}
	for _, x := range []struct{ to, own *strict.Duration }{{&c.Reminders, &own.Reminders}, {&c.Quiet, &own.Quiet}, {&c.SpinUp, &own.SpinUp}, {&c.Repeat, &own.Repeat}, {&c.Ahead, &own.Ahead}} {
		if x.own.Pos.IsSet() {
			*x.to = *x.own
		}
	}
	if own.Count.From.Pos.IsSet() {
		c.Count.From = own.Count.From
	}
	if own.Confirm.Pos.IsSet() {
		c.Confirm = own.Confirm
	}
	if own.Unchanged.Pos.IsSet() {
		c.Unchanged = own.Unchanged
	}
	if own.Count.With.Pos.IsSet() {
		c.Count.With = own.Count.With
	}
	return c
}

// checkLeft reports times that cannot be called, and puts those that are left in order.
func checkLeft(ahead strict.Duration, list []strict.Duration, r *strict.Reader) {
	whole := func(d strict.Duration) {
		if d.Pos.IsSet() && d.Value%time.Second != 0 {
			r.ErrorfAt(d.Pos, "%s is spoken, so whole seconds are accepted here", d.Value)
		}
	}
	whole(ahead)
	if len(list) > 10 {
		r.ErrorfAt(list[10].Pos, "at most 10 time-left calls are made in a segment")
	}
	seen := map[time.Duration]bool{}
	for _, left := range list {
		whole(left)
		if left.Pos.IsSet() && seen[left.Value] {
			r.ErrorfAt(left.Pos, "%s stands here twice", units.FormatDuration(left.Value))
		}
		seen[left.Value] = true
	}
	slices.SortFunc(list, func(a, b strict.Duration) int { return int(b.Value - a.Value) })
}

// leastRepeat is the least time after which numbers are said again: what comes more often is nagging. A rule of ours.
const leastRepeat = 30 * time.Second

// checkRepeat reports a repetition that comes too often.
func checkRepeat(d strict.Duration, r *strict.Reader) {
	if d.Value > 0 && d.Value < leastRepeat {
		r.ErrorfAt(d.Pos, "numbers that are said again every %s are nagging: at least %s are accepted, or 0s for never", units.FormatDuration(d.Value), units.FormatDuration(leastRepeat))
	}
}
