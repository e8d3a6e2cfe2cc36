package plan

import (
	"gopkg.in/yaml.v3"

	"cuewright/plan/strict"
)

// A Feel is a span of perceived exertion in tenths, the easy end first; both ends are
// equal where there is one number.
type Feel struct{ Low, High int64 }

// Single reports whether f is one number.
func (f Feel) Single() bool { return f.Low == f.High }

// String writes f as a coach notes it: "7", "5–6.5".
func (f Feel) String() string {
	if f.Single() {
		return FormatTenths(f.Low)
	}
	return FormatTenths(f.Low) + "–" + FormatTenths(f.High)
}

// Perceived exertion is counted from 0 (nothing at all) to 10 (extremely strong), as
// on G. Borg's CR10 scale, with its halves: 0.5 is "extremely weak" there. (Anchors
// as a page about the scale gives them: 0, 0.5, 1, 2, 3, 4, 5, 7, 10.)
const (
	maxFeel  = 100 // tenths
	feelStep = 5
)

// Feels is perceived exertion as written: one number or a pair, the easy end first.
type Feels struct {
	value Feel
	Pos   strict.Pos
}

// Read takes one number or a pair.
func (f *Feels) Read(n *yaml.Node, r *strict.Reader) {
	f.Pos = strict.Place(n)
	nodes := []*yaml.Node{n}
	if n.Kind == yaml.SequenceNode {
		nodes = n.Content
		if len(nodes) != 2 {
			r.Bad(n, "a range has two numbers, [easy, hard], not %d", len(nodes))
			return
		}
	}
	var ends []int64
	for _, n := range nodes {
		var t strict.Tenths
		r.Into(n, &t)
		switch {
		case !t.Pos.Given():
		case t.Value < 0 || t.Value > maxFeel || t.Value%feelStep != 0:
			r.Bad(n, "%s is no perceived exertion: 0 to 10 in halves is accepted", n.Value)
		default:
			ends = append(ends, t.Value)
		}
	}
	if len(ends) != len(nodes) {
		return
	}
	low, high := ends[0], ends[len(ends)-1]
	if low > high {
		r.Bad(n, "the easy end comes first: [%s, %s]", FormatTenths(high), FormatTenths(low))
		return
	}
	f.value = Feel{low, high}
}

// Schema describes Feels.
func (f *Feels) Schema() map[string]any {
	one := map[string]any{"type": "number", "minimum": 0, "maximum": maxFeel / 10, "multipleOf": feelStep / 10.0}
	return map[string]any{"oneOf": []any{one, map[string]any{"type": "array", "minItems": 2, "maxItems": 2, "items": one}}}
}
