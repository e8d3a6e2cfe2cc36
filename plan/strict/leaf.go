package strict

import (
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"

	"gopkg.in/yaml.v3"

	"cuewright/plan/problem"
	"cuewright/plan/strict/hint"
	"cuewright/plan/units"
)

// scalar returns the text of n, or reports what was expected instead.
func (r *Reader) scalar(n *yaml.Node, want string) (string, bool) {
	if n.Kind != yaml.ScalarNode {
		r.Errorf(n, "%s is expected here, not %s", want, describe(n))
		return "", false
	}
	return n.Value, true
}

// Text is a line of text.
type Text struct {
	Value string
	Pos   problem.Pos
}

// MaxText is the longest Text in characters.
const MaxText = 200

// Read takes any scalar as it is written; a name may look like a number.
func (t *Text) Read(n *yaml.Node, r *Reader) {
	s, ok := r.scalar(n, "a text")
	if !ok {
		return
	}
	s = strings.TrimSpace(s)
	switch {
	case s == "":
		r.Errorf(n, "the text is empty")
	case len([]rune(s)) > MaxText:
		r.Errorf(n, "the text has %d characters, at most %d are accepted", len([]rune(s)), MaxText)
	case strings.ContainsFunc(s, unicode.IsControl):
		r.Errorf(n, "the text must be one line without control characters")
	default:
		*t = Text{s, PosOf(n)}
	}
}

// Schema describes a Text.
func (t *Text) Schema() map[string]any {
	// YAML reads 5 as a number, which is a fine name all the same.
	return map[string]any{"type": []string{"string", "number", "boolean"}, "minLength": 1, "maxLength": MaxText}
}

// Duration is a length of time in Go's notation ("90s", "1m15s").
type Duration struct {
	Value time.Duration
	Pos   problem.Pos
}

// ReadDuration reads a duration in whole milliseconds.
func ReadDuration(n *yaml.Node, r *Reader) (time.Duration, bool) {
	s, ok := r.scalar(n, "a duration like 90s, 1m15s or 2m")
	if !ok {
		return 0, false
	}
	d, err := time.ParseDuration(s)
	switch {
	case err != nil:
		r.Errorf(n, "%q is not a duration: %s", s, durationHint(s))
	case d%time.Millisecond != 0:
		r.Errorf(n, "%q is finer than a thousandth of a second, which is the finest accepted", s)
	default:
		return d, true
	}
	return 0, false
}

func durationHint(s string) string {
	if n, err := strconv.Atoi(s); err == nil && n >= 0 {
		return "give a unit, " + s + "s or " + s + "m"
	}
	if m, sec, ok := strings.Cut(s, ":"); ok {
		a, err1 := strconv.Atoi(m)
		b, err2 := strconv.Atoi(sec)
		if err1 == nil && err2 == nil && a >= 0 && b >= 0 && b < 60 {
			return "write " + (time.Duration(a)*time.Minute + time.Duration(b)*time.Second).String()
		}
	}
	if meant := hint.Duration(s); meant != "" {
		return meant
	}
	return "write it like 90s, 1m15s or 2m"
}

// Read takes a duration of zero or more.
func (d *Duration) Read(n *yaml.Node, r *Reader) {
	v, ok := ReadDuration(n, r)
	if ok && v < 0 {
		r.Errorf(n, "%q is negative, a length of time is expected", n.Value)
		ok = false
	}
	if ok && r.durationInside(n, v) {
		*d = Duration{v, PosOf(n)}
	}
}

// Schema describes a Duration.
func (d *Duration) Schema() map[string]any {
	return map[string]any{"type": "string", "pattern": `^\+?([0-9]+(\.[0-9]*)?(h|m|s|ms))+$`}
}

// Offset is a duration that may be negative.
type Offset struct {
	Value time.Duration
	Pos   problem.Pos
}

// Read takes a duration of either sign.
func (o *Offset) Read(n *yaml.Node, r *Reader) {
	if v, ok := ReadDuration(n, r); ok {
		*o = Offset{v, PosOf(n)}
	}
}

// Schema describes an Offset.
func (o *Offset) Schema() map[string]any {
	return map[string]any{"type": "string", "pattern": `^[-+]?([0-9]+(\.[0-9]*)?(h|m|s|ms))+$`}
}

// Integer is a whole number.
type Integer struct {
	Value int
	Pos   problem.Pos
}

// Read takes decimal digits only: YAML would read 010 as eight and 2.9 as two.
func (i *Integer) Read(n *yaml.Node, r *Reader) {
	s, ok := r.scalar(n, "a whole number")
	if !ok {
		return
	}
	v, err := strconv.Atoi(s)
	if err != nil || (len(s) > 1 && s[0] == '0') || s[0] == '+' {
		also := hint.Number(s)
		if r.bounds != nil && hint.Thousand(s, r.bounds.oneOf) != "" {
			also = hint.Thousand(s, r.bounds.oneOf)
		}
		r.Errorf(n, "%q is not a whole number%s", s, also)
		return
	}
	if r.integerInside(n, v) {
		*i = Integer{v, PosOf(n)}
	}
}

// Schema describes an Integer.
func (i *Integer) Schema() map[string]any { return map[string]any{"type": "integer"} }

// Tenths is a number with at most one decimal, held exactly as ten times itself.
type Tenths struct {
	Value int64
	Pos   problem.Pos
}

// Read takes a number with at most one decimal.
func (t *Tenths) Read(n *yaml.Node, r *Reader) {
	s, ok := r.scalar(n, "a number")
	if !ok {
		return
	}
	if number, ok := hint.Sign(s); ok {
		r.Errorf(n, "%q has a sign: write %s%s", s, number, r.bounds.signHint(s))
		t.Pos = PosOf(n)
		return
	}
	v, ok := units.ReadTenths(s)
	if !ok {
		r.Errorf(n, "%q is not a number with at most one decimal%s", s, hint.Number(s))
		t.Pos = PosOf(n) // it was given, however it was written
		return
	}
	r.checkTenths(n, v)
	*t = Tenths{v, PosOf(n)} // it was given, even where it is out of bounds
}

// Schema describes a Tenths.
func (t *Tenths) Schema() map[string]any { return map[string]any{"type": "number"} }

// Accepted ends a message about a word that is none of the words accepted.
func Accepted(word string, words []string) string {
	if s := hint.Nearest(word, words); s != "" {
		return s + " Accepted: " + strings.Join(words, ", ")
	}
	return "; accepted: " + strings.Join(words, ", ")
}

// ReadWord reads one of a few words, or reports which are accepted.
func ReadWord(n *yaml.Node, r *Reader, words []string) (string, problem.Pos) {
	s, ok := r.scalar(n, "one of "+strings.Join(words, ", "))
	if !ok {
		return "", problem.Pos{}
	}
	if !slices.Contains(words, s) {
		r.Errorf(n, "%q is not known here%s", s, Accepted(s, words))
		return "", problem.Pos{}
	}
	return s, PosOf(n)
}
