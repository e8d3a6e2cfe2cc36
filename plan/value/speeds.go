// Package value is what a coach may write as a value of a plan: speeds and paces, ratings, lengths, step rates, each
// with its line and column.
package value

import (
	"math/big"
	"regexp"
	"strconv"
	"strings"

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

// Limits are the slowest and the fastest speed that a plan may hold in a unit.
func Limits(u units.Unit) (slowest, fastest units.Speed) { return limits[u].Low, limits[u].High }

// Paces are the named paces of a plan, which speeds may be shares of.
type Paces = strict.Map[Speeds]

// A speedValue is one speed as written: a number in tenths, a pace in seconds, or a share of a named pace.
type speedValue struct {
	value int64
	pace  bool
	share int64  // of the pace, in tenths of a percent; 0 for a number
	of    string // the name of the pace
	pos   problem.Pos
}

// Bounds of a share, in tenths of a percent: slower is no share of a pace any more, faster nobody runs.
const minShare, maxShare = 300, 1500

var (
	paceForm  = regexp.MustCompile(`^([0-9]{1,2}):([0-5][0-9])$`)
	shareForm = regexp.MustCompile(`^([0-9]+(?:\.[0-9])?) ?% ?of +(\S.*)$`)
	nameForm  = regexp.MustCompile(`^\pL[\pL\pN _-]*$`)
)

func (s *speedValue) Read(n *yaml.Node, r *strict.Reader) {
	if n.Kind != yaml.ScalarNode {
		r.Errorf(n, "a speed like 8.5, a pace like \"6:30\", or a pair [slow, fast] is expected here")
		return
	}
	if m := paceForm.FindStringSubmatch(n.Value); m != nil {
		minutes, _ := strconv.Atoi(m[1])
		seconds, _ := strconv.Atoi(m[2])
		*s = speedValue{value: int64(minutes*60 + seconds), pace: true, pos: strict.PosOf(n)}
		return
	}
	if m := shareForm.FindStringSubmatch(n.Value); m != nil {
		share, _ := units.ReadTenths(m[1])
		if share < minShare || share > maxShare {
			r.Errorf(n, "a share of %s %% is outside %d to %d", m[1], minShare/10, maxShare/10)
			return
		}
		*s = speedValue{share: share, of: strings.TrimSpace(m[2]), pos: strict.PosOf(n)}
		return
	}
	if nameForm.MatchString(n.Value) {
		*s = speedValue{share: 1000, of: n.Value, pos: strict.PosOf(n)}
		return
	}
	v, ok := units.ReadTenths(n.Value)
	if strings.HasSuffix(n.Value, "%") {
		r.Errorf(n, "%q is no speed: a share names its pace, %s %% of a name that stands in paces", n.Value, strings.TrimRight(n.Value, " %"))
		return
	}
	if meant := hint.Number(n.Value); !ok && meant != "" {
		r.Errorf(n, "%q is no speed%s", n.Value, meant)
		return
	}
	if ok && n.Value[0] == '+' {
		r.Errorf(n, "%q has a sign: write %s, or each: {speed: %[1]s} for a change from set to set", n.Value, n.Value[1:])
		return
	}
	if !ok {
		r.Errorf(n, "%q is no speed: %s", n.Value, whatIsOne)
		return
	}
	*s = speedValue{value: v, pos: strict.PosOf(n)}
}

const whatIsOne = `a number with at most one decimal like 8.5 is accepted, or a pace like "6:30"`

func (s *speedValue) Schema() map[string]any {
	return map[string]any{"oneOf": []any{
		map[string]any{"type": "number", "exclusiveMinimum": 0, "maximum": 40},
		map[string]any{"type": "string", "pattern": `^([0-9]{1,2}:[0-5][0-9]|[0-9]{1,2}(\.[0-9])?|[0-9]+(\.[0-9])? ?% ?of .+|\p{L}.*)$`},
	}}
}

// in returns the speed in u, tenths or seconds, or reports why it is none. A share is of the end of its pace that
// the speed is an end of.
func (s speedValue) in(u units.Unit, paces *Paces, fast bool, r *strict.Reader) *big.Rat {
	none := new(big.Rat)
	if s.share > 0 {
		pace, ok := s.paceOf(paces, r)
		if !ok || pace.low.share > 0 || !pace.Readable(u, paces) {
			return none // reported here, or where the pace stands
		}
		x, share := pace.In(u, paces).Low, big.NewRat(s.share, 1000)
		if fast {
			x = pace.In(u, paces).High
		}
		x = new(big.Rat).Set(x)
		if u.Pace() { // shares are of speed, never of minutes
			x.Quo(x, share)
		} else {
			x.Mul(x, share)
		}
		s.checkLimits(u, units.Exact{Low: x, High: x}.Rounded().Low, r)
		return x
	}
	v := units.Speed(s.value)
	switch {
	case s.pace && !u.Pace():
		r.ErrorfAt(s.pos, "%s is a pace, but units says %s: a number like 8.5 is expected", units.MinKm.Format(v), u)
	case !s.pace && u.Pace():
		r.ErrorfAt(s.pos, "%s is no pace, but units says %s: minutes and seconds like \"6:30\" are expected", units.FormatTenths(s.value), u)
	default:
		s.checkLimits(u, v, r)
	}
	return big.NewRat(s.value, 1)
}

// paceOf is the pace that a share is of, or reports that there is none of its name.
func (s speedValue) paceOf(paces *Paces, r *strict.Reader) (Speeds, bool) {
	pace, ok := paces.Get(s.of)
	switch {
	case ok:
	case len(paces.Keys) == 0 && s.share == 1000:
		r.ErrorfAt(s.pos, "%q is no speed: %s", s.of, whatIsOne)
	case len(paces.Keys) == 0:
		r.ErrorfAt(s.pos, "there is no pace %q: the plan has no paces", s.of)
	default:
		names := make([]string, len(paces.Keys))
		for i, k := range paces.Keys {
			names[i] = k.Value
		}
		r.ErrorfAt(s.pos, "there is no pace %q%s", s.of, strict.Accepted(s.of, names))
	}
	return pace, ok
}

// CheckNames reports the paces that the speeds are shares of and that there are not.
func (s Speeds) CheckNames(paces *Paces, r *strict.Reader) {
	for i, end := range []speedValue{s.low, s.high} {
		if end.share > 0 && (i == 0 || end.pos != s.low.pos) {
			end.paceOf(paces, r)
		}
	}
}

func (s speedValue) checkLimits(u units.Unit, v units.Speed, r *strict.Reader) {
	if v == 0 {
		r.ErrorfAt(s.pos, "0 is no speed: off the belt is role: floor, in place of a speed; a rest on it has the speed of a walk")
		return
	}
	if u.Faster(v, limits[u].Low) < 0 || u.Faster(v, limits[u].High) > 0 {
		r.ErrorfAt(s.pos, "%s %s is outside %s to %s", u.Format(v), u, u.Format(limits[u].Low), u.Format(limits[u].High))
	}
}

// Speeds is a speed target as written: one speed or a pair, slow end first.
type Speeds struct {
	low, high speedValue
	Pos       problem.Pos
	// Own is the unit in which they are written, where that is not the plan's.
	Own units.Unit
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
		also := ""
		if len(n.Content) == 1 && len(strings.Fields(n.Content[0].Value)) == 2 {
			also = ": write [" + strings.Join(strings.Fields(n.Content[0].Value), ", ") + "]"
		}
		r.Errorf(n, "a range has two speeds, [slow, fast], not %d%s", len(n.Content), also)
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

// Check returns the range in u, the unit of the plan, exactly, or reports what is wrong with it.
func (s Speeds) Check(u units.Unit, paces *Paces, r *strict.Reader) units.Exact {
	if own := s.Own; own != "" && own != u {
		s.Own = ""
		return own.Exactly(u, s.Check(own, paces, r))
	}
	if !s.low.pos.IsSet() || !s.high.pos.IsSet() {
		return units.Exact{Low: new(big.Rat), High: new(big.Rat)} // reported when it was read
	}
	before := len(r.Problems())
	low := s.low.in(u, paces, false, r)
	if s.high.pos == s.low.pos && !s.Share() {
		return units.Exact{Low: low, High: low}
	}
	if s.low.of != s.high.of {
		r.ErrorfAt(s.Pos, "both ends are shares of one pace, or both are speeds")
		return units.Exact{Low: low, High: low}
	}
	if s.high.pos == s.low.pos && len(r.Problems()) > before {
		return units.Exact{Low: low, High: low} // said once
	}
	high := s.high.in(u, paces, true, r)
	if e := (units.Exact{Low: low, High: high}); len(r.Problems()) == before && faster(u, low, high) {
		r.ErrorfAt(s.Pos, "the slow end comes first: [%s, %s]", u.Format(e.Rounded().High), u.Format(e.Rounded().Low))
	}
	return units.Exact{Low: low, High: high}
}

// faster reports whether a is faster than b.
func faster(u units.Unit, a, b *big.Rat) bool {
	if u.Pace() {
		a, b = b, a
	}
	return a.Cmp(b) > 0
}

// Share reports whether the speeds are shares of a pace, which is worked out and then rounded to what a machine shows.
func (s Speeds) Share() bool { return s.low.share > 0 }

// WorkedOut reports whether the speeds are no numbers of a plan in u: shares, or written in another unit.
func (s Speeds) WorkedOut(u units.Unit) bool { return s.Share() || s.Own != "" && s.Own != u }

// Shifted is a share with so many tenths of a percent point more.
func (s Speeds) Shifted(by int64) Speeds {
	s.low.share += by
	s.high.share += by
	return s
}

// Walked reports whether the speeds are walked: said so, or slower at the slow end than anybody runs, 6 km/h.
func (s Speeds) Walked(u units.Unit, paces *Paces, gait Gait) bool {
	if gait != "" || !s.Readable(u, paces) {
		return gait == Walk
	}
	const walking = 60 // tenths of a km/h
	return units.RateOf(u, s.In(u, paces).Rounded().Low).Compare(units.RateOf(units.KmH, walking)) < 0
}

// Readable reports whether the speeds are given and without problems in u.
func (s Speeds) Readable(u units.Unit, paces *Paces) bool {
	r := new(strict.Reader)
	return s.Pos.IsSet() && s.Check(u, paces, r).Low.Sign() > 0 && len(r.Problems()) == 0
}

// HighPos is where the fast end stands.
func (s Speeds) HighPos() problem.Pos { return s.high.pos }

// In returns the range in u, the unit of the plan, which was read without problems.
func (s Speeds) In(u units.Unit, paces *Paces) units.Exact {
	return s.Check(u, paces, new(strict.Reader))
}

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

// minRunning is the least cadence of running, in tenths: what is less counts one foot, which is the usual habit of runners.
const minRunning = 1000

// CheckRunning reports a cadence that nobody runs at.
func (s StepRate) CheckRunning(r *strict.Reader) {
	if s.Pos.IsSet() && s.Value >= 600 && s.Value < minRunning {
		r.ErrorfAt(s.Pos, "a cadence of %s counts one foot: both are counted here, write %s", units.FormatTenths(s.Value), units.FormatTenths(2*s.Value))
	}
}
