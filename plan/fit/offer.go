// Package fit finds what would make the length of a class the one its plan promises:
// segments longer or shorter, sets more or less.
package fit

import (
	"cuewright/plan"
	"cuewright/plan/parts"
	"cuewright/plan/problem"
	"cuewright/plan/units"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
)

// An Offer is a change of a plan as written that makes its segments add up to
// the length it promises.
type Offer struct {
	Changes []Change // one, or two that only together do
	cost    float64  // the less, the more sensible
	kind    string   // offers of one kind are alike: the best of them is made
}

// A Change is one number of a plan changed.
type Change struct {
	// Pos is where the segment or the block of sets stands in the plan.
	Pos problem.Pos
	// Add is more time, or less, for the segment, each time it is run.
	Add time.Duration
	// Sets is how many sets more, or less, the block has; then Add is 0.
	Sets int
	what string // in words
}

// String says the offer in the plan's own terms: "20 s more for each of 3
// recoveries "even" (line 29)".
func (o Offer) String() string {
	var words []string
	for _, c := range o.Changes {
		words = append(words, c.what)
	}
	return strings.Join(words, " and ")
}

// Apply returns a copy of p with the offer's changes. p must be the plan that
// the offer was made for.
func (o Offer) Apply(p *plan.Plan) *plan.Plan {
	q := *p
	for _, part := range []*[]parts.Item{&q.WarmUp, &q.Main, &q.CoolDown} {
		*part = slices.Clone(*part)
		for i := range *part {
			(*part)[i] = clone((*part)[i])
		}
	}
	for _, c := range o.Changes {
		for s := range q.EachSegment {
			if s.Pos == c.Pos {
				s.For.Value += c.Add
			}
		}
		for _, b := range q.Blocks {
			if b.Pos == c.Pos {
				b.Sets.Value += c.Sets
			}
		}
	}
	return &q
}

// clone is an item that shares no segment and no block with i.
func clone(i parts.Item) parts.Item {
	if i.Segment != nil {
		s := *i.Segment
		i.Segment = &s
	}
	if i.Block != nil {
		b := *i.Block
		b.Segments, b.Between = slices.Clone(b.Segments), slices.Clone(b.Between)
		for k := range b.Segments {
			b.Segments[k] = clone(b.Segments[k])
		}
		i.Block = &b
	}
	return i
}

// wrongLength is a class that is not as long as its plan promises.
const wrongLength problem.Kind = "wrong-length"

// Check reports a class whose length is not the one its plan promises, with what would
// make it right.
func Check(p *plan.Plan, length time.Duration) []problem.Problem {
	l := p.Length
	if !l.Pos.IsSet() || l.Value == length {
		return nil
	}
	by, than := l.Value-length, "short"
	if by < 0 {
		by, than = -by, "over"
	}
	message := fmt.Sprintf("length promises %s, the segments add up to %s: %s %s", units.FormatLength(l.Value), units.FormatLength(length), inWords(by), than)
	for i, o := range Offers(p, length) {
		message += []string{"; it fits with ", ", or with ", ", or with "}[i] + o.String()
	}
	return []problem.Problem{p.Problem(problem.Error, wrongLength, l.Pos, "%s", message)}
}

// inWords writes a length of time as one speaks of it: "20 s", "2:00".
func inWords(d time.Duration) string {
	if d >= 100*time.Second {
		return units.FormatLength(d)
	}
	return strconv.FormatFloat(d.Seconds(), 'f', -1, 64) + " s"
}
