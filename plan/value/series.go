package value

import (
	"regexp"
	"strings"
	"time"

	"gopkg.in/yaml.v3"

	"cuewright/plan/problem"
	"cuewright/plan/strict"
	"cuewright/plan/units"
)

// A Change is how much a value changes from one set to the next, in the smallest part that it is counted in: tenths,
// seconds of a pace (less is faster), milliseconds, or tenths of a percent point where Points is set.
type Change struct {
	By     int64
	Points bool
	// Pace is set where it is a change of a pace in seconds.
	Pace bool
}

// A changing value can be read as a change of itself; words say what is accepted where it is none.
type changing interface {
	readChange(text string) (c Change, words string)
}

// A Series is how a value of a segment goes from set to set: the same change each time, or a value for each set.
type Series[T any] struct {
	Change Change
	List   []T // where a list is written
	Pos    problem.Pos
}

// Read takes a change with its sign, or a list of what the value itself may be.
func (s *Series[T]) Read(n *yaml.Node, r *strict.Reader) {
	if n.Kind == yaml.SequenceNode {
		s.Pos = strict.PosOf(n)
		for _, item := range n.Content {
			var v T
			r.Decode(item, &v)
			s.List = append(s.List, v)
		}
		if len(s.List) == 0 {
			r.Errorf(n, "the list is empty: a value for each set is expected")
		}
		return
	}
	if n.Kind != yaml.ScalarNode {
		r.Errorf(n, "a change like +1, or a list with a value for each set, is expected here")
		return
	}
	var v T
	c, words := any(v).(changing).readChange(strings.TrimSpace(n.Value))
	if words != "" {
		r.Errorf(n, "%q is no change from set to set: %s, or a list with a value for each set, is accepted", n.Value, words)
		return
	}
	*s = Series[T]{Change: c, Pos: strict.PosOf(n)}
}

// Check reports a list of the wrong length or beside a value of its own, and a change of
// nothing: own and effort are where the segment and its effort give the value.
func (s Series[T]) Check(r *strict.Reader, key string, sets int, own, effort problem.Pos) {
	switch {
	case !s.Pos.IsSet():
	case s.List != nil && len(s.List) != sets:
		r.ErrorfAt(s.Pos, "%d values for %d sets: one for each is expected", len(s.List), sets)
	case s.List != nil && own.IsSet():
		r.ErrorfAt(s.Pos, "the segment has %s already in line %d: give it once, or a list with one for each set", key, own.Line)
	case s.List == nil && !own.IsSet() && !effort.IsSet():
		r.ErrorfAt(s.Pos, "there is no %s that could change: give the one of the first set", key)
	}
}

// In is the value that a list has for a set, from 1; ok is false where there is no list.
func (s Series[T]) In(set int) (v T, ok bool) {
	if len(s.List) == 0 {
		return v, false
	}
	return s.List[min(max(set, 1), len(s.List))-1], true
}

// Schema describes a Series: a change may be read as a number.
func (s *Series[T]) Schema() map[string]any {
	var v T
	item := any(&v).(strict.Leaf).Schema()
	return map[string]any{"oneOf": []any{map[string]any{"type": []any{"number", "string"}}, map[string]any{"type": "array", "minItems": 1, "items": item}}}
}

var (
	signedNumber  = regexp.MustCompile(`^[-+][0-9]+(\.[0-9]+)?$`)
	signedPercent = regexp.MustCompile(`^([-+][0-9]+(?:\.[0-9]+)?) ?%$`)
	signedTime    = regexp.MustCompile(`^[-+]([0-9]+(\.[0-9]*)?(h|m|s|ms))+$`)
	paceChange    = regexp.MustCompile(`^([0-9]+) ?s (faster|slower)$`)
)

// maxChange is the largest change of a number, in tenths: more leaves every bound in the second set.
const maxChange = 1000

func readTenths(text, words string) (Change, string) {
	if v, ok := units.ReadTenths(text); ok && signedNumber.MatchString(text) && v != 0 && max(v, -v) <= maxChange {
		return Change{By: v}, ""
	}
	return Change{}, words
}

func (Speeds) readChange(text string) (Change, string) {
	const words = "+0.5 or -0.5, of a pace 5s faster or 5s slower, of a share +1 %"
	if m := paceChange.FindStringSubmatch(text); m != nil {
		d, err := time.ParseDuration(m[1] + "s")
		if err != nil || d > time.Hour {
			return Change{}, words
		}
		by := int64(d / time.Second)
		if m[2] == "faster" {
			by = -by
		}
		return Change{By: by, Pace: true}, ""
	}
	if m := signedPercent.FindStringSubmatch(text); m != nil {
		v, ok := units.ReadTenths(m[1])
		if !ok || v == 0 || max(v, -v) > maxChange {
			return Change{}, words
		}
		return Change{By: v, Points: true}, ""
	}
	return readTenths(text, words)
}

func (Ratings) readChange(text string) (Change, string)  { return readTenths(text, "+0.5 or -0.5") }
func (Incline) readChange(text string) (Change, string)  { return readTenths(text, "+1 or -1") }
func (StepRate) readChange(text string) (Change, string) { return readTenths(text, "+2 or -2") }

func (Extent) readChange(text string) (Change, string) {
	if d, err := time.ParseDuration(text); err == nil && signedTime.MatchString(text) && d%time.Millisecond == 0 && d != 0 && d.Abs() <= 12*time.Hour {
		return Change{By: d.Milliseconds()}, ""
	}
	return Change{}, "+10s or -10s"
}

// Incline is an incline in tenths of a percent.
type Incline struct{ strict.Tenths }
