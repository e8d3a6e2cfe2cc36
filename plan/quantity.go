package plan

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"gopkg.in/yaml.v3"

	"cuewright/plan/strict"
)

// Units is how a plan counts speed. Incline is always in percent grade.
type Units string

// The units of speed a treadmill shows.
const (
	KmH     Units = "km/h"
	Mph     Units = "mph"
	MinKm   Units = "min/km"
	MinMile Units = "min/mile"
)

var allUnits = []string{string(KmH), string(Mph), string(MinKm), string(MinMile)}

// Pace reports whether u counts time for a distance, where less is faster.
func (u Units) Pace() bool { return u == MinKm || u == MinMile }

// Mile is the length of the international mile in metres, exact since the yard
// is 0.9144 m (NIST Special Publication 811, B.6).
const Mile = 1609.344

// Speed is a speed in a plan's own unit, exactly: tenths of a km/h or mile an
// hour, or whole seconds for a kilometre or mile.
type Speed int64

// Format writes s as a treadmill shows it: "5.5", "8" or "6:30".
func (u Units) Format(s Speed) string {
	if u.Pace() {
		return fmt.Sprintf("%d:%02d", s/60, s%60)
	}
	return FormatTenths(int64(s))
}

// MetresPerMinute converts s, the unit of the metabolic equations.
func (u Units) MetresPerMinute(s Speed) float64 {
	switch u {
	case KmH:
		return float64(s) * 100 / 60
	case Mph:
		return float64(s) / 10 * Mile / 60
	case MinKm:
		return 1000 * 60 / float64(s)
	default:
		return Mile * 60 / float64(s)
	}
}

// Faster returns a positive number where a is faster than b, negative where it
// is slower and 0 where they are equal.
func (u Units) Faster(a, b Speed) int64 {
	if u.Pace() {
		return int64(b - a)
	}
	return int64(a - b)
}

// FormatTenths writes a number held in tenths: "5", "5.5", "-0.5".
func FormatTenths(t int64) string {
	s := strconv.FormatFloat(float64(t)/10, 'f', 1, 64)
	return strings.TrimSuffix(s, ".0")
}

// Range is a span of speeds, the slow end first; both ends are equal where a
// plan gives one number.
type Range struct{ Low, High Speed }

// Single reports whether r is one speed.
func (r Range) Single() bool { return r.Low == r.High }

// FormatRange writes r as a coach notes it: "5.5" or "5.5–7".
func (u Units) FormatRange(r Range) string {
	if r.Single() {
		return u.Format(r.Low)
	}
	return u.Format(r.Low) + "–" + u.Format(r.High)
}

// limits are the slowest and fastest speed a plan may hold. They are wide: what
// common treadmills reach is a matter of advice, not of reading.
var limits = map[Units]Range{
	KmH:     {3, 400},
	Mph:     {2, 250},
	MinKm:   {59*60 + 59, 90},
	MinMile: {59*60 + 59, 144},
}

// A speedValue is one speed as written: a number in tenths or a pace in seconds.
type speedValue struct {
	value int64
	pace  bool
	pos   strict.Pos
}

var paceForm = regexp.MustCompile(`^([0-9]{1,2}):([0-5][0-9])$`)

func (s *speedValue) Read(n *yaml.Node, r *strict.Reader) {
	if n.Kind != yaml.ScalarNode {
		r.Bad(n, "a speed like 8.5, a pace like \"6:30\", or a pair [slow, fast] is expected here")
		return
	}
	if m := paceForm.FindStringSubmatch(n.Value); m != nil {
		min, _ := strconv.Atoi(m[1])
		sec, _ := strconv.Atoi(m[2])
		*s = speedValue{int64(min*60 + sec), true, strict.Place(n)}
		return
	}
	v, ok := strict.ReadTenths(n.Value)
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
func (s speedValue) in(u Units, r *strict.Reader) Speed {
	v := Speed(s.value)
	switch {
	case s.pace && !u.Pace():
		r.BadAt(s.pos, "%s is a pace, but units says %s: a number like 8.5 is expected", MinKm.Format(v), u)
	case !s.pace && u.Pace():
		r.BadAt(s.pos, "%s is no pace, but units says %s: minutes and seconds like \"6:30\" are expected", FormatTenths(s.value), u)
	case u.Faster(v, limits[u].Low) < 0 || u.Faster(v, limits[u].High) > 0:
		r.BadAt(s.pos, "%s %s is outside %s to %s", u.Format(v), u, u.Format(limits[u].Low), u.Format(limits[u].High))
	}
	return v
}

// Speeds is a speed target as written: one speed or a pair, slow end first.
type Speeds struct {
	low, high speedValue
	Pos       strict.Pos
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
func (s Speeds) in(u Units, r *strict.Reader) Range {
	if !s.low.pos.Given() || !s.high.pos.Given() {
		return Range{} // reported when it was read
	}
	low := s.low.in(u, r)
	if s.high.pos == s.low.pos {
		return Range{low, low}
	}
	high := s.high.in(u, r)
	if s.low.pace == u.Pace() && s.high.pace == u.Pace() && u.Faster(low, high) > 0 {
		r.BadAt(s.Pos, "the slow end comes first: [%s, %s]", u.Format(high), u.Format(low))
	}
	return Range{low, high}
}

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
		within(r, n, "an incline of", i.Value, minIncline*10, maxIncline*10, FormatTenths)
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
		within(r, n, "a cadence of", c.Value, minCadence*10, maxCadence*10, FormatTenths)
	}
}

// Schema describes Cadence.
func (c *Cadence) Schema() map[string]any {
	return map[string]any{"type": "number", "minimum": minCadence, "maximum": maxCadence}
}

// Word is one of a few words, decided by the type parameter's list.
type Word[L words] struct {
	Value string
	Pos   strict.Pos
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

func (unitWords) accepted() []string     { return allUnits }
func (gaitWords) accepted() []string     { return []string{"walk", "run"} }
func (audienceWords) accepted() []string { return []string{"beginners", "mixed", "trained"} }
func (countWords) accepted() []string    { return []string{"beeps", "words", "both"} }
func (clickWords) accepted() []string    { return []string{"cadence", "never"} }
func (feetWords) accepted() []string     { return []string{"alternate", "alike"} }
func (silenceWords) accepted() []string  { return []string{"zero", "noise"} }
