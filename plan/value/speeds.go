// Package value is what a coach may write as a value of a plan: speeds and paces, ratings, lengths, step rates, each
// with its line and column.
package value

import (
	"regexp"
	"strconv"

	"gopkg.in/yaml.v3"

	"cuewright/plan/problem"
	"cuewright/plan/strict"
	"cuewright/plan/strict/hint"
	"cuewright/plan/units"
)

// limits are the slowest and fastest speed a plan may hold. They are wide: what
// treadmills reach is told by checkTop, which the plan can raise.
var limits = map[units.Unit]units.Range{
	units.KmH:     {Low: 3, High: 400},
	units.Mph:     {Low: 2, High: 250},
	units.MinKm:   {Low: 59*60 + 59, High: 90},
	units.MinMile: {Low: 59*60 + 59, High: 144},
}

// A speedValue is one speed as written: a number in tenths or a pace in seconds.
type speedValue struct {
	value int64
	pace  bool
	pos   problem.Pos
}

var paceForm = regexp.MustCompile(`^([0-9]{1,2}):([0-5][0-9])$`)

func (s *speedValue) Read(n *yaml.Node, r *strict.Reader) {
	if n.Kind != yaml.ScalarNode {
		r.Errorf(n, "a speed like 8.5, a pace like \"6:30\", or a pair [slow, fast] is expected here")
		return
	}
	if m := paceForm.FindStringSubmatch(n.Value); m != nil {
		minutes, _ := strconv.Atoi(m[1])
		seconds, _ := strconv.Atoi(m[2])
		*s = speedValue{int64(minutes*60 + seconds), true, strict.PosOf(n)}
		return
	}
	v, ok := units.ReadTenths(n.Value)
	if meant := hint.Number(n.Value); !ok && meant != "" {
		r.Errorf(n, "%q is no speed%s", n.Value, meant)
		return
	}
	if !ok || n.Value[0] == '+' {
		r.Errorf(n, "%q is no speed: a number with at most one decimal like 8.5 is accepted, or a pace like \"6:30\"", n.Value)
		return
	}
	*s = speedValue{v, false, strict.PosOf(n)}
}

func (s *speedValue) Schema() map[string]any {
	return map[string]any{"oneOf": []any{
		map[string]any{"type": "number", "exclusiveMinimum": 0, "maximum": 40},
		map[string]any{"type": "string", "pattern": `^([0-9]{1,2}:[0-5][0-9]|[0-9]{1,2}(\.[0-9])?)$`},
	}}
}

// in returns the speed in u, or reports why it is none.
func (s speedValue) in(u units.Unit, r *strict.Reader) units.Speed {
	v := units.Speed(s.value)
	switch {
	case s.pace && !u.Pace():
		r.ErrorfAt(s.pos, "%s is a pace, but units says %s: a number like 8.5 is expected", units.MinKm.Format(v), u)
	case !s.pace && u.Pace():
		r.ErrorfAt(s.pos, "%s is no pace, but units says %s: minutes and seconds like \"6:30\" are expected", units.FormatTenths(s.value), u)
	case u.Faster(v, limits[u].Low) < 0 || u.Faster(v, limits[u].High) > 0:
		r.ErrorfAt(s.pos, "%s %s is outside %s to %s", u.Format(v), u, u.Format(limits[u].Low), u.Format(limits[u].High))
	}
	return v
}

// Speeds is a speed target as written: one speed or a pair, slow end first.
type Speeds struct {
	low, high speedValue
	Pos       problem.Pos
}

// Read takes one speed or a pair.
func (s *Speeds) Read(n *yaml.Node, r *strict.Reader) {
	s.Pos = strict.PosOf(n)
	if n.Kind != yaml.SequenceNode {
		s.low.Read(n, r)
		s.high = s.low
		return
	}
	if len(n.Content) != 2 {
		r.Errorf(n, "a range has two speeds, [slow, fast], not %d", len(n.Content))
		return
	}
	r.Decode(n.Content[0], &s.low)
	r.Decode(n.Content[1], &s.high)
}

// Schema describes Speeds.
func (s *Speeds) Schema() map[string]any {
	one := (&speedValue{}).Schema()
	return map[string]any{"oneOf": append(one["oneOf"].([]any),
		map[string]any{"type": "array", "minItems": 2, "maxItems": 2, "items": one})}
}

// Check returns the range in u, or reports what is wrong with it.
func (s Speeds) Check(u units.Unit, r *strict.Reader) units.Range {
	if !s.low.pos.IsSet() || !s.high.pos.IsSet() {
		return units.Range{} // reported when it was read
	}
	low := s.low.in(u, r)
	if s.high.pos == s.low.pos {
		return units.Range{Low: low, High: low}
	}
	high := s.high.in(u, r)
	if s.low.pace == u.Pace() && s.high.pace == u.Pace() && u.Faster(low, high) > 0 {
		r.ErrorfAt(s.Pos, "the slow end comes first: [%s, %s]", u.Format(high), u.Format(low))
	}
	return units.Range{Low: low, High: high}
}

// Readable reports whether the speeds are given and without problems in u.
func (s Speeds) Readable(u units.Unit) bool {
	r := new(strict.Reader)
	return s.Pos.IsSet() && s.Check(u, r).Low > 0 && len(r.Problems()) == 0
}

// HighPos is where the fast end stands.
func (s Speeds) HighPos() problem.Pos { return s.high.pos }

// In returns the range in u, the unit of the plan, which was read without problems.
func (s Speeds) In(u units.Unit) units.Range { return s.Check(u, new(strict.Reader)) }

// Ratings are ratings of perceived exertion as written: one or a pair, the easy end first.
type Ratings struct {
	value units.RPE
	Pos   problem.Pos
}

// Read takes one number or a pair.
func (f *Ratings) Read(n *yaml.Node, r *strict.Reader) {
	f.Pos = strict.PosOf(n)
	nodes := []*yaml.Node{n}
	if n.Kind == yaml.SequenceNode {
		nodes = n.Content
		if len(nodes) != 2 {
			r.Errorf(n, "a range has two numbers, [easy, hard], not %d", len(nodes))
			return
		}
	}
	var ends []int64
	for _, n := range nodes {
		var t strict.Tenths
		r.Decode(n, &t)
		switch {
		case !t.Pos.IsSet():
		case t.Value < 0 || t.Value > units.MaxRPE || t.Value%units.RPEStep != 0:
			r.Errorf(n, "%s is no perceived exertion: 0 to 10 in halves is accepted", n.Value)
		default:
			ends = append(ends, t.Value)
		}
	}
	if len(ends) != len(nodes) {
		return
	}
	low, high := ends[0], ends[len(ends)-1]
	if low > high {
		r.Errorf(n, "the easy end comes first: [%s, %s]", units.FormatTenths(high), units.FormatTenths(low))
		return
	}
	f.value = units.RPE{Low: low, High: high}
}

// Span returns the ratings.
func (f Ratings) Span() units.RPE { return f.value }

// Schema describes Ratings.
func (f *Ratings) Schema() map[string]any {
	one := map[string]any{"type": "number", "minimum": 0, "maximum": units.MaxRPE / 10, "multipleOf": units.RPEStep / 10.0}
	return map[string]any{"oneOf": []any{one, map[string]any{"type": "array", "minItems": 2, "maxItems": 2, "items": one}}}
}

// StepRate is a cadence in tenths of a step a minute, both feet counted.
type StepRate struct{ strict.Tenths }

// Read takes a number, and tells what to write for one that counts one foot, which is the usual habit of runners.
func (s *StepRate) Read(n *yaml.Node, r *strict.Reader) {
	if v, ok := units.ReadTenths(n.Value); ok && n.Kind == yaml.ScalarNode && v >= 500 && v < 1000 {
		r.Errorf(n, "a cadence of %s counts one foot: both are counted here, write %s", units.FormatTenths(v), units.FormatTenths(2*v))
		s.Pos = strict.PosOf(n)
		return
	}
	s.Tenths.Read(n, r)
}
