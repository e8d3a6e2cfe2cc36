package strict

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	"gopkg.in/yaml.v3"

	"cuewright/plan/problem"
	"cuewright/plan/units"
)

// Bounds are what a field's tags say of its value:
//
//	Opening Duration `key:"opening" in:"3s..10m"`
//	Incline Tenths   `key:"incline" in:"-15..40" what:"an incline of"`
//	Rate    Integer  `key:"rate" one-of:"44100 48000"`
//
// An item of a list is held to those of its field.
type bounds struct {
	low, high string   // as the tag has them, nothing where there are none
	oneOf     []string // what alone is accepted
	what      string   // how a message begins
	signed    string   // where a value with a sign may be meant for
}

// readBounds reads the tags of a field. They are the program's own, so a wrong one is a
// mistake of ours, which every use of the type shows.
func readBounds(in, oneOf, what, signed string) *bounds {
	b := &bounds{oneOf: strings.Fields(oneOf), what: what, signed: signed}
	if b.what == "" {
		b.what = "the value"
	}
	if in != "" {
		low, high, ok := strings.Cut(in, "..")
		if !ok {
			panic("strict: bounds are written in:\"LOW..HIGH\", not " + strconv.Quote(in))
		}
		b.low, b.high = low, high
	}
	return b
}

// signHint tells what else a number with a sign may be meant for, as the tag signed says
// with %s for the number.
func (b *bounds) signHint(number string) string {
	if b == nil || b.signed == "" {
		return ""
	}
	return ", " + fmt.Sprintf(b.signed, number)
}

// durations are the bounds of a duration.
func (b *bounds) durations() (low, high time.Duration) {
	return must(time.ParseDuration(b.low)), must(time.ParseDuration(b.high))
}

// tenths are the bounds of a number with one decimal.
func (b *bounds) tenths() (low, high int64) {
	read := func(s string) int64 {
		v, ok := units.ReadTenths(s)
		if !ok {
			panic("strict: a bound is no number: " + s)
		}
		return v
	}
	return read(b.low), read(b.high)
}

// integers are the bounds of a whole number.
func (b *bounds) integers() (low, high int) {
	return must(strconv.Atoi(b.low)), must(strconv.Atoi(b.high))
}

func must[T any](v T, err error) T {
	if err != nil {
		panic("strict: " + err.Error())
	}
	return v
}

// durationInside reports whether a duration is within the bounds of the field being read, or says
// that it is not.
func (r *Reader) durationInside(n *yaml.Node, d time.Duration) bool {
	if r.bounds == nil || r.bounds.low == "" {
		return true
	}
	low, high := r.bounds.durations()
	if d < low || d > high {
		r.Errorf(n, "%s is outside %s to %s", n.Value, units.FormatDuration(low), units.FormatDuration(high))
		return false
	}
	return true
}

// checkTenths reports a number with one decimal that is out of the bounds.
func (r *Reader) checkTenths(n *yaml.Node, v int64) {
	if r.bounds == nil || r.bounds.low == "" {
		return
	}
	if low, high := r.bounds.tenths(); v < low || v > high {
		r.Errorf(n, "%s %s is outside %s to %s", r.bounds.what, units.FormatTenths(v), units.FormatTenths(low), units.FormatTenths(high))
	}
}

// integerInside reports whether a whole number is accepted, or says that it is not.
func (r *Reader) integerInside(n *yaml.Node, v int) bool {
	if r.bounds == nil {
		return true
	}
	if list := r.bounds.oneOf; len(list) > 0 && !slices.Contains(list, strconv.Itoa(v)) {
		r.Errorf(n, "%d is not accepted here, only %s", v, strings.Join(list, ", "))
		return false
	}
	if r.bounds.low == "" {
		return true
	}
	low, high := r.bounds.integers()
	if v < low || v > high {
		r.Errorf(n, "%s %d is outside %d to %d", r.bounds.what, v, low, high)
		return false
	}
	return true
}

// Choice is one of the words of its field's tag one-of, or what its type's Aliases, a
// method that maps other spellings to them, takes for one.
type Choice[T ~string] struct {
	Value T
	Pos   problem.Pos
}

// Read takes one of the words.
func (c *Choice[T]) Read(n *yaml.Node, r *Reader) {
	if r.bounds == nil || len(r.bounds.oneOf) == 0 {
		panic("strict: a Choice needs the tag one-of")
	}
	if known, ok := any(c.Value).(interface{ Aliases() map[string]T }); ok {
		if v, ok := known.Aliases()[strings.ToLower(n.Value)]; ok && n.Kind == yaml.ScalarNode {
			*c = Choice[T]{v, PosOf(n)}
			return
		}
	}
	if v, pos := ReadWord(n, r, r.bounds.oneOf); pos.IsSet() {
		*c = Choice[T]{T(v), pos}
	}
}

// Schema describes a Choice; its words come from the tag.
func (c *Choice[T]) Schema() map[string]any {
	s := map[string]any{"type": "string"}
	if known, ok := any(c.Value).(interface{ Aliases() map[string]T }); ok {
		s["aliases"] = slices.Sorted(maps.Keys(known.Aliases()))
	}
	return s
}

// describe adds to the schema of a field what its tags say.
func (b *bounds) describe(s map[string]any) {
	if items, ok := s["items"].(map[string]any); ok && s["type"] == "array" {
		b.describe(items)
		return
	}
	switch {
	case len(b.oneOf) > 0:
		var words []any
		for _, w := range b.oneOf {
			if n, err := strconv.Atoi(w); err == nil {
				words = append(words, n)
			} else {
				words = append(words, w)
			}
		}
		if also, ok := s["aliases"].([]string); ok {
			for _, w := range also {
				words = append(words, w)
			}
			delete(s, "aliases")
		}
		delete(s, "type")
		s["enum"] = words
	case b.low == "":
	case s["type"] == "integer":
		s["minimum"], s["maximum"] = b.integers()
	case s["type"] == "number":
		low, high := b.tenths()
		s["minimum"], s["maximum"] = float64(low)/10, float64(high)/10
	case s["type"] == "string": // a duration: JSON Schema has no keyword for its bounds
		low, high := b.durations()
		s["x-minimum"], s["x-maximum"] = units.FormatDuration(low), units.FormatDuration(high)
		s["$comment"] = fmt.Sprintf("from %s to %s", s["x-minimum"], s["x-maximum"])
	}
}
