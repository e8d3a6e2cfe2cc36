package settings

import (
	"cuewright/plan/strict"
	"cuewright/plan/units"
	"slices"
	"time"
)

// Check reports what no single value of the calls can show, and puts the times left in order.
func (c *Calls) Check(r *strict.Reader) {
	whole := func(d strict.Duration) {
		if d.Pos.IsSet() && d.Value%time.Second != 0 {
			r.ErrorfAt(d.Pos, "%s is spoken, so whole seconds are accepted here", d.Value)
		}
	}
	whole(c.Ahead)
	if len(c.Left) > 10 {
		r.ErrorfAt(c.Left[10].Pos, "at most 10 time-left calls are made in a segment")
	}
	seen := map[time.Duration]bool{}
	for _, left := range c.Left {
		whole(left)
		if left.Pos.IsSet() && seen[left.Value] {
			r.ErrorfAt(left.Pos, "%s stands here twice", units.FormatDuration(left.Value))
		}
		seen[left.Value] = true
	}
	slices.SortFunc(c.Left, func(a, b strict.Duration) int { return int(b.Value - a.Value) })
	if count := time.Duration(c.Count.From.Value) * time.Second; c.Opening.Value < count+time.Second {
		r.ErrorfAt(c.Opening.Pos, "an opening of %s has no room for a count from %d", units.FormatDuration(c.Opening.Value), c.Count.From.Value)
	}
}
