package plan

import (
	"fmt"
	"time"

	"gopkg.in/yaml.v3"

	"cuewright/plan/strict"
	"cuewright/plan/units"
)

// A bounded leaf carries its own limits, so that reading it and describing it
// in the schema use the same ones. The type parameter names them.

type durationBounds interface {
	bounds() (low, high time.Duration)
}

// Span is a duration between the limits of B.
type Span[B durationBounds] struct{ strict.Duration }

// Read takes a duration within the limits.
func (s *Span[B]) Read(n *yaml.Node, r *strict.Reader) {
	var d strict.Duration
	d.Read(n, r)
	if !d.Pos.Given() {
		return
	}
	var b B
	low, high := b.bounds()
	if d.Value < low || d.Value > high {
		r.Bad(n, "%s is outside %s to %s", n.Value, units.FormatDuration(low), units.FormatDuration(high))
		return
	}
	s.Duration = d
}

type numberBounds interface{ bounds() (low, high int64) }

// Level is a number with one decimal between the limits of B (in tenths).
type Level[B numberBounds] struct{ strict.Tenths }

// Read takes a number within the limits.
func (l *Level[B]) Read(n *yaml.Node, r *strict.Reader) {
	var t strict.Tenths
	t.Read(n, r)
	var b B
	low, high := b.bounds()
	if t.Pos.Given() && within(r, n, "the value", t.Value, low, high, units.FormatTenths) {
		l.Tenths = t
	}
}

// Schema describes a Level.
func (l *Level[B]) Schema() map[string]any {
	var b B
	low, high := b.bounds()
	return map[string]any{"type": "number", "minimum": float64(low) / 10, "maximum": float64(high) / 10}
}

// Whole is a whole number between the limits of B.
type Whole[B numberBounds] struct{ strict.Integer }

// Read takes a whole number within the limits.
func (w *Whole[B]) Read(n *yaml.Node, r *strict.Reader) {
	var i strict.Integer
	i.Read(n, r)
	var b B
	low, high := b.bounds()
	if i.Pos.Given() && within(r, n, "the value", int64(i.Value), low, high, func(v int64) string { return fmt.Sprint(v) }) {
		w.Integer = i
	}
}

// Schema describes a Whole.
func (w *Whole[B]) Schema() map[string]any {
	var b B
	low, high := b.bounds()
	return map[string]any{"type": "integer", "minimum": low, "maximum": high}
}

// Pick is one of the whole numbers of L.
type Pick[L numbers] struct{ strict.Integer }

type numbers interface{ accepted() []int }

// Read takes one of the numbers.
func (p *Pick[L]) Read(n *yaml.Node, r *strict.Reader) {
	var i strict.Integer
	i.Read(n, r)
	if !i.Pos.Given() {
		return
	}
	var list L
	for _, v := range list.accepted() {
		if v == i.Value {
			p.Integer = i
			return
		}
	}
	r.Bad(n, "%d is not accepted here, only %s", i.Value, join(list.accepted()))
}

// Schema describes a Pick.
func (p *Pick[L]) Schema() map[string]any {
	var list L
	return map[string]any{"enum": list.accepted()}
}

func join(list []int) string {
	s := ""
	for i, v := range list {
		if i > 0 {
			s += ", "
		}
		s += fmt.Sprint(v)
	}
	return s
}

type (
	forBounds      struct{}
	openingBounds  struct{}
	closingBounds  struct{}
	aheadBounds    struct{}
	leftBounds     struct{}
	silenceBounds  struct{}
	quietBounds    struct{}
	setsBounds     struct{}
	countBounds    struct{}
	clickBounds    struct{}
	bedBounds      struct{}
	loudnessBounds struct{}
	peakBounds     struct{}
	presenceBounds struct{}
	rates          struct{}
	bitDepths      struct{}
	channelCounts  struct{}
)

func (forBounds) bounds() (low, high time.Duration)     { return 3 * time.Second, maxLength }
func (openingBounds) bounds() (low, high time.Duration) { return 3 * time.Second, 10 * time.Minute }
func (closingBounds) bounds() (low, high time.Duration) { return time.Second, 10 * time.Minute }
func (aheadBounds) bounds() (low, high time.Duration)   { return 5 * time.Second, time.Minute }
func (leftBounds) bounds() (low, high time.Duration)    { return 5 * time.Second, 99 * time.Minute }
func (silenceBounds) bounds() (low, high time.Duration) { return 0, maxLength }
func (quietBounds) bounds() (low, high time.Duration)   { return 5 * time.Second, maxLength }
func (setsBounds) bounds() (low, high int64)            { return 1, maxSegments }
func (countBounds) bounds() (low, high int64)           { return 1, 10 }
func (clickBounds) bounds() (low, high int64)           { return -400, 0 }
func (bedBounds) bounds() (low, high int64)             { return -400, 0 }
func (loudnessBounds) bounds() (low, high int64)        { return -310, -90 }
func (peakBounds) bounds() (low, high int64)            { return -90, 0 }
func (presenceBounds) bounds() (low, high int64)        { return 0, 120 }
func (rates) accepted() []int {
	return []int{16000, 22050, 24000, 32000, 44100, 48000, 88200, 96000}
}
func (bitDepths) accepted() []int     { return []int{16, 24} }
func (channelCounts) accepted() []int { return []int{1, 2} }

// SegmentBounds returns the shortest and the longest time that a segment lasts.
func SegmentBounds() (low, high time.Duration) { return forBounds{}.bounds() }
