package plan

import (
	"regexp"
	"strconv"

	"gopkg.in/yaml.v3"

	"cuewright/plan/problem"
	"cuewright/plan/strict"
	"cuewright/plan/units"
)

// limits are the slowest and fastest speed a plan may hold. They are wide: what
// common treadmills reach is a matter of advice, not of reading.
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
		r.Bad(n, "a speed like 8.5, a pace like \"6:30\", or a pair [slow, fast] is expected here")
		return
	}
	if m := paceForm.FindStringSubmatch(n.Value); m != nil {
		minutes, _ := strconv.Atoi(m[1])
		seconds, _ := strconv.Atoi(m[2])
		*s = speedValue{int64(minutes*60 + seconds), true, strict.Place(n)}
		return
	}
	v, ok := units.ReadTenths(n.Value)
	if !ok {
		r.Bad(n, "%q is no speed: a number with at most one decimal like 8.5 is accepted, or a pace like \"6:30\"", n.Value)
		return
	}
	*s = speedValue{v, false, strict.Place(n)}
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
		r.BadAt(s.pos, "%s is a pace, but units says %s: a number like 8.5 is expected", units.MinKm.Format(v), u)
	case !s.pace && u.Pace():
		r.BadAt(s.pos, "%s is no pace, but units says %s: minutes and seconds like \"6:30\" are expected", units.FormatTenths(s.value), u)
	case u.Faster(v, limits[u].Low) < 0 || u.Faster(v, limits[u].High) > 0:
		r.BadAt(s.pos, "%s %s is outside %s to %s", u.Format(v), u, u.Format(limits[u].Low), u.Format(limits[u].High))
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
	s.Pos = strict.Place(n)
	if n.Kind != yaml.SequenceNode {
		s.low.Read(n, r)
		s.high = s.low
		return
	}
	if len(n.Content) != 2 {
		r.Bad(n, "a range has two speeds, [slow, fast], not %d", len(n.Content))
		return
	}
	r.Into(n.Content[0], &s.low)
	r.Into(n.Content[1], &s.high)
}

// Schema describes Speeds.
func (s *Speeds) Schema() map[string]any {
	one := (&speedValue{}).Schema()
	return map[string]any{"oneOf": append(one["oneOf"].([]any),
		map[string]any{"type": "array", "minItems": 2, "maxItems": 2, "items": one})}
}

// in returns the range in u, or reports what is wrong with it.
func (s Speeds) in(u units.Unit, r *strict.Reader) units.Range {
	if !s.low.pos.Given() || !s.high.pos.Given() {
		return units.Range{} // reported when it was read
	}
	low := s.low.in(u, r)
	if s.high.pos == s.low.pos {
		return units.Range{Low: low, High: low}
	}
	high := s.high.in(u, r)
	if s.low.pace == u.Pace() && s.high.pace == u.Pace() && u.Faster(low, high) > 0 {
		r.BadAt(s.Pos, "the slow end comes first: [%s, %s]", u.Format(high), u.Format(low))
	}
	return units.Range{Low: low, High: high}
}

// In returns the range in u, the unit of the plan, which was read without problems.
func (s Speeds) In(u units.Unit) units.Range { return s.in(u, new(strict.Reader)) }

// within returns a check of a leaf's bounds for messages of one shape.
func within(r *strict.Reader, n *yaml.Node, what string, v, low, high int64, format func(int64) string) bool {
	if v < low || v > high {
		r.Bad(n, "%s %s is outside %s to %s", what, format(v), format(low), format(high))
		return false
	}
	return true
}

// Incline is a grade in percent, in tenths; the field Pos tells whether it was given.
type Incline struct{ strict.Tenths }

// Bounds of incline in percent, wide enough for every protocol in testdata.
const minIncline, maxIncline = -15, 40

// Read takes a number from -15 to 40 with at most one decimal.
func (i *Incline) Read(n *yaml.Node, r *strict.Reader) {
	i.Tenths.Read(n, r)
	if i.Pos.Given() {
		within(r, n, "an incline of", i.Value, minIncline*10, maxIncline*10, units.FormatTenths)
	}
}

// Schema describes Incline.
func (i *Incline) Schema() map[string]any {
	return map[string]any{"type": "number", "minimum": minIncline, "maximum": maxIncline}
}

// Cadence is a step rate in steps a minute, both feet counted, in tenths.
type Cadence struct{ strict.Tenths }

// Bounds of cadence in steps a minute, from a slow walk to a sprint.
const minCadence, maxCadence = 60, 240

// Read takes a number from 60 to 240 with at most one decimal.
func (c *Cadence) Read(n *yaml.Node, r *strict.Reader) {
	c.Tenths.Read(n, r)
	if c.Pos.Given() {
		within(r, n, "a cadence of", c.Value, minCadence*10, maxCadence*10, units.FormatTenths)
	}
}

// Schema describes Cadence.
func (c *Cadence) Schema() map[string]any {
	return map[string]any{"type": "number", "minimum": minCadence, "maximum": maxCadence}
}

// Word is one of a few words, decided by the type parameter's list.
type Word[L words] struct {
	Value string
	Pos   problem.Pos
}

type words interface{ accepted() []string }

// Read takes one of the words.
func (w *Word[L]) Read(n *yaml.Node, r *strict.Reader) {
	var list L
	if v, pos := strict.ReadWord(n, r, list.accepted()); pos.Given() {
		*w = Word[L]{v, pos}
	}
}

// Schema describes the words.
func (w *Word[L]) Schema() map[string]any {
	var list L
	return map[string]any{"enum": list.accepted()}
}

type (
	unitWords     struct{}
	gaitWords     struct{}
	audienceWords struct{}
	countWords    struct{}
	clickWords    struct{}
	feetWords     struct{}
	silenceWords  struct{}
)

func (unitWords) accepted() []string     { return units.Names() }
func (gaitWords) accepted() []string     { return []string{"walk", "run"} }
func (audienceWords) accepted() []string { return []string{"beginners", "mixed", "trained"} }
func (countWords) accepted() []string    { return []string{"beeps", "words", "both"} }
func (clickWords) accepted() []string    { return []string{"cadence", "never"} }
func (feetWords) accepted() []string     { return []string{"alternate", "alike"} }
func (silenceWords) accepted() []string  { return []string{"zero", "noise"} }

// Ratings are ratings of perceived exertion as written: one or a pair, the easy end first.
type Ratings struct {
	value units.RPE
	Pos   problem.Pos
}

// Read takes one number or a pair.
func (f *Ratings) Read(n *yaml.Node, r *strict.Reader) {
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
		case t.Value < 0 || t.Value > units.MaxRPE || t.Value%units.RPEStep != 0:
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
		r.Bad(n, "the easy end comes first: [%s, %s]", units.FormatTenths(high), units.FormatTenths(low))
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
