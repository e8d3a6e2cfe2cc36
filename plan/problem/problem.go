// Package problem holds what can be wrong with a file of a coach's, or with the class
// made of it: one type for all rooms, one list of the kinds, one order to read them in.
package problem

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"cuewright/plan/units"
)

// Pos is a place in a file. Line and Column count from 1 (Column in
// characters); the zero Pos means the value was not given.
type Pos struct {
	Line, Column int
	// In is the file, where it is another one than that in which values of its kind usually stand: "" for that.
	In string
}

// IsSet reports whether the value was written in the file.
func (p Pos) IsSet() bool { return p.Line > 0 }

// Severity tells errors, which stop a track from being made, from warnings.
type Severity string

// The two severities.
const (
	Error   Severity = "error"
	Warning Severity = "warning"
)

// A Problem is one thing wrong with a plan, its class, its voice or its calls.
type Problem struct {
	Severity Severity
	Kind     Kind
	// File and Pos are where the cause stands; a zero Pos means the file as a whole.
	File string
	Pos
	// At is the class time of the problem, where 0 is the start of the first
	// segment, and Lasts how long it goes on, 0 for a moment; both count only with Timed.
	At, Lasts time.Duration
	Timed     bool
	// Message says what is wrong, with the figures, and what is accepted.
	Message string
}

// Path is the file in which the cause stands.
func (p Problem) Path() string { return cmp.Or(p.In, p.File) }

// String formats p as FILE:LINE:COL: mm:ss.m: severity: kind: message, leaving
// out what p does not have.
func (p Problem) String() string {
	var b strings.Builder
	b.WriteString(p.Path())
	if p.IsSet() {
		fmt.Fprintf(&b, ":%d:%d", p.Line, p.Column)
	}
	b.WriteString(": ")
	if p.Timed {
		b.WriteString(units.FormatClock(p.At) + ": ")
	}
	b.WriteString(string(p.Severity) + ": ")
	if !slices.Contains(fileKinds, p.Kind) {
		b.WriteString(string(p.Kind) + ": ")
	}
	b.WriteString(p.Message)
	return b.String()
}

// Sort orders problems for reading: errors first, then by file, class time and
// place in the file. What has no time comes before what has.
func Sort(problems []Problem) {
	slices.SortStableFunc(problems, func(a, b Problem) int {
		timed := func(p Problem) int {
			if p.Timed {
				return 1
			}
			return 0
		}
		return cmp.Or(
			cmp.Compare(a.Severity, b.Severity), // "error" < "warning"
			cmp.Compare(a.Path(), b.Path()),
			timed(a)-timed(b),
			cmp.Compare(a.At, b.At),
			cmp.Compare(a.Line, b.Line),
			cmp.Compare(a.Column, b.Column))
	})
}

// HasErrors reports whether any of the problems is an error.
func HasErrors(problems []Problem) bool {
	return slices.ContainsFunc(problems, func(p Problem) bool { return p.Severity == Error })
}
