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

// Extent is how long a segment lasts as written: a time, a distance, or what the length of the class leaves.
type Extent struct {
	// Value is the time where a time is written, else 0.
	Value time.Duration
	// Distance is how far, where a distance is written, and Text how it is written.
	Distance units.Millimetres
	Text     string
	// Remainder is set where the segment takes what the length leaves.
	Remainder bool
	Pos       problem.Pos
}

// maxMinutes is the longest time that may be written in minutes alone: who writes 200m may mean metres, the most
// usual note in this trade.
const maxMinutes = 90 * time.Minute

var (
	minutesAlone = regexp.MustCompile(`^([0-9]+)m$`)
	minutesApart = regexp.MustCompile(`^([0-9]+) m$`)
	distanceForm = regexp.MustCompile(`^([0-9]+(?:\.[0-9]{1,3})?) ?(metres?|meters?|km|kilometres?|kilometers?|mi|miles?)$`)
)

// Read takes a time, a distance like 400 metres, 1.5 km or 0.25 mi, or the word remainder.
func (e *Extent) Read(n *yaml.Node, r *strict.Reader) {
	e.Pos = strict.PosOf(n) // it was given, however it was written
	text := strings.TrimSpace(n.Value)
	switch {
	case n.Kind != yaml.ScalarNode:
	case text == "remainder":
		*e = Extent{Remainder: true, Pos: strict.PosOf(n)}
		return
	case text == "rest" || text == "the rest":
		r.Errorf(n, "%q is not a length of time: write remainder for what the length leaves", text)
		return
	case minutesApart.MatchString(text):
		m := minutesApart.FindStringSubmatch(text)[1]
		d, _ := time.ParseDuration(m + "m")
		r.Errorf(n, "%q can be read in two ways: write %s metres for a distance, or %s for minutes", text, m, units.FormatDuration(d))
		return
	case distanceForm.MatchString(text):
		m := distanceForm.FindStringSubmatch(text)
		d, ok := units.ReadDistance(m[1], m[2])
		if !ok || d < minDistance || d > maxDistance {
			r.Errorf(n, "%s is outside 10 metres to 100 km", text)
			return
		}
		*e = Extent{Distance: d, Text: text, Pos: strict.PosOf(n)}
		return
	case minutesAlone.MatchString(text):
		if d, err := time.ParseDuration(text); err == nil && d > maxMinutes {
			m := strings.TrimSuffix(text, "m")
			r.Errorf(n, "%s would be %s minutes: write %s metres for a distance, or %s for so long a time", text, m, m, units.FormatDuration(d))
			return
		}
	}
	var d strict.Duration
	d.Read(n, r)
	if d.Pos.IsSet() {
		*e = Extent{Value: d.Value, Pos: d.Pos}
	}
}

// Bounds of a distance: shorter ones are over before they are called, and 100 km is more than a class holds.
const (
	minDistance = 10_000      // millimetres
	maxDistance = 100_000_000 // millimetres
)

// Schema describes an Extent.
func (e *Extent) Schema() map[string]any {
	time := (&strict.Duration{}).Schema()
	time["$comment"] = "from 3s to 12h; more than 90 minutes as 1h40m"
	return map[string]any{"oneOf": []any{time,
		map[string]any{"type": "string", "pattern": distanceForm.String()},
		map[string]any{"const": "remainder"}}}
}
