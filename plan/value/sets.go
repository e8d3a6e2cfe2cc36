package value

import (
	"slices"

	"gopkg.in/yaml.v3"

	"cuewright/plan/problem"
	"cuewright/plan/strict"
)

// SetChoice names sets of a block: some by their numbers, or one of the words last, odd, even.
type SetChoice struct {
	Numbers []strict.Integer // from 1; none where a word stands
	Word    string
	Pos     problem.Pos
}

var setWords = []string{"last", "odd", "even"}

// Read takes a number from 1, a list of them, or a word.
func (s *SetChoice) Read(n *yaml.Node, r *strict.Reader) {
	if n.Kind == yaml.ScalarNode && slices.Contains(setWords, n.Value) {
		*s = SetChoice{Word: n.Value, Pos: strict.PosOf(n)}
		return
	}
	nodes := []*yaml.Node{n}
	if n.Kind == yaml.SequenceNode {
		nodes = n.Content
		if len(nodes) == 0 {
			r.Errorf(n, "the list is empty: numbers of sets are expected")
		}
	}
	for _, one := range nodes {
		var number strict.Integer
		r.Decode(one, &number)
		if number.Pos.IsSet() {
			s.Numbers, s.Pos = append(s.Numbers, number), strict.PosOf(n)
		}
	}
}

// Has reports whether a set of so many is among them. Where nothing was chosen, every set is.
func (s SetChoice) Has(set, sets int) bool {
	switch s.Word {
	case "last":
		return set == sets
	case "odd":
		return set%2 == 1
	case "even":
		return set > 0 && set%2 == 0
	}
	return !s.Pos.IsSet() || slices.ContainsFunc(s.Numbers, func(n strict.Integer) bool { return n.Value == set })
}

// Schema describes a SetChoice.
func (s *SetChoice) Schema() map[string]any {
	number := map[string]any{"type": "integer", "minimum": 1, "maximum": 10_000}
	return map[string]any{"oneOf": []any{number, map[string]any{"enum": []any{"last", "odd", "even"}}, map[string]any{"type": "array", "minItems": 1, "items": number}}}
}
