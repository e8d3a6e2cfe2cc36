package plan

// A Part is one of the three parts of a class.
type Part string

// The parts of a class, in their order.
const (
	WarmUp   Part = "warm-up"
	Main     Part = "main"
	CoolDown Part = "cool-down"
)

// Items yields the segments and blocks of all parts in their order.
func (p *Plan) Items(yield func(Part, *Item) bool) {
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

// EachSegment yields every segment as written, not unfolded.
func (p *Plan) EachSegment(yield func(*Segment) bool) {
	for _, item := range p.Items {
		if item.Segment != nil && !yield(item.Segment) {
			return
		}
		if b := item.Block; b != nil {
			for _, run := range [][]Segment{b.Segments, b.Between} {
				for i := range run {
					if !yield(&run[i]) {
						return
					}
				}
			}
		}
	}
}
