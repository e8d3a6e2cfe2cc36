// Package parts is what a coach writes below efforts and settings: segments and sets of them in the parts of a class, as
// written and in the order in which they are run.
package parts

// A Part is one of the three parts of a class.
type Part string

// The parts of a class, in their order.
const (
	WarmUp   Part = "warm-up"
	Main     Part = "main"
	CoolDown Part = "cool-down"
)

// Parts are the three parts of a plan.
type Parts struct {
	WarmUp   []Item `key:"warm-up" doc:"segments and sets before the main part"`
	Main     []Item `key:"main,required,filled" doc:"segments and sets of the main part"`
	CoolDown []Item `key:"cool-down" doc:"segments and sets after the main part"`
}

// Items yields the segments and blocks of all parts in their order.
func (p *Parts) Items(yield func(Part, *Item) bool) {
	for _, part := range []struct {
		name  Part
		items []Item
	}{{WarmUp, p.WarmUp}, {Main, p.Main}, {CoolDown, p.CoolDown}} {
		for i := range part.items {
			if !yield(part.name, &part.items[i]) {
				return
			}
		}
	}
}

// A Loop is a block of sets around a segment. Set is the number of the set, from 1, where the segment is one of a class in
// time, and 0 where it is as written.
type Loop struct {
	Block *Block
	Set   int
}

// A Place is a segment with what stands around it.
type Place struct {
	Part    Part
	Segment *Segment
	// Loops are the sets around it, the outermost first; none outside.
	Loops []Loop
	// Between is set where the segment stands between the sets of the nearest loop.
	Between bool
	// First is set where the segment is the first of a set of its nearest loop.
	First bool
}

// Nearest is the loop that a segment is counted by; its Block is nil outside of sets.
func (l Place) Nearest() Loop {
	if len(l.Loops) == 0 {
		return Loop{}
	}
	return l.Loops[len(l.Loops)-1]
}

// Runs is how often the segment is run in one turn of what stands around its nearest sets: 1 outside of sets.
func (l Place) Runs() int {
	b := l.Nearest().Block
	switch {
	case b == nil:
		return 1
	case l.Between:
		return b.Sets.Value - 1
	}
	return b.Sets.Value
}

// Written yields every segment as written, once, with the sets around it.
func (p *Parts) Written(yield func(Place) bool) {
	for part, item := range p.Items {
		if !item.written(Place{Part: part}, yield) {
			return
		}
	}
}

func (i *Item) written(at Place, yield func(Place) bool) bool {
	if i.Segment != nil {
		at.Segment = i.Segment
		return yield(at)
	}
	if b := i.Block; b != nil {
		at.Loops = append(at.Loops[:len(at.Loops):len(at.Loops)], Loop{Block: b})
		for k := range b.Segments {
			if !b.Segments[k].written(at, yield) {
				return false
			}
		}
		at.Between = true
		for k := range b.Between {
			at.Segment = &b.Between[k]
			if !yield(at) {
				return false
			}
		}
	}
	return true
}

// Unfolded yields every segment of every set, in the order in which they are run.
func (p *Parts) Unfolded(yield func(Place) bool) {
	for part, item := range p.Items {
		if !item.unfolded(Place{Part: part}, yield) {
			return
		}
	}
}

func (i *Item) unfolded(at Place, yield func(Place) bool) bool {
	if i.Segment != nil {
		at.Segment = i.Segment
		return yield(at)
	}
	b := i.Block
	for set := 1; b != nil && set <= b.Sets.Value; set++ {
		in := at
		in.Loops = append(at.Loops[:len(at.Loops):len(at.Loops)], Loop{b, set})
		for k := range b.Segments {
			in.First = k == 0
			if !b.Segments[k].unfolded(in, yield) {
				return false
			}
		}
		in.Between, in.First = true, false
		for k := range b.Between {
			if in.Segment = &b.Between[k]; set < b.Sets.Value && !yield(in) {
				return false
			}
		}
	}
	return true
}

// EachSegment yields every segment as written, not unfolded.
func (p *Parts) EachSegment(yield func(*Segment) bool) {
	for at := range p.Written {
		if !yield(at.Segment) {
			return
		}
	}
}

// Blocks yields every block of sets as written, outer ones before those within them.
func (p *Parts) Blocks(yield func(Part, *Block) bool) {
	for part, item := range p.Items {
		b := item.Block
		if b == nil {
			continue
		}
		if !yield(part, b) {
			return
		}
		for i := range b.Segments {
			if in := b.Segments[i].Block; in != nil && !yield(part, in) {
				return
			}
		}
	}
}
