package plan

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"cuewright/plan/strict"
)

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
	// Kind is the check that found it ("overlap", "gap", …), or one of "plan",
	// "voice" and "list" for what is wrong with such a file as written.
	Kind string
	// File and Pos are where the cause stands; a zero Pos means the file as a whole.
	File string
	strict.Pos
	// At is the class time of the problem, where 0 is the start of the first
	// segment; it counts only with Timed.
	At    time.Duration
	Timed bool
	// Message says what is wrong, with the figures, and what is accepted.
	Message string
}

// fileKinds go without saying in a line that names the file.
var fileKinds = []string{"plan", "voice", "list"}

// String formats p as FILE:LINE:COL: mm:ss.m: severity: kind: message, leaving
// out what p does not have.
func (p Problem) String() string {
	var b strings.Builder
	b.WriteString(p.File)
	if p.Given() {
		fmt.Fprintf(&b, ":%d:%d", p.Line, p.Column)
	}
	b.WriteString(": ")
	if p.Timed {
		b.WriteString(Clock(p.At) + ": ")
	}
	b.WriteString(string(p.Severity) + ": ")
	if !slices.Contains(fileKinds, p.Kind) {
		b.WriteString(p.Kind + ": ")
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
			cmp.Compare(a.File, b.File),
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

// Clock formats a class time as mm:ss.m (tenths rounded down, so that a time
// never shows before it is reached); times before the first segment are
// negative. Minutes go on past 59, as a coach counts.
func Clock(t time.Duration) string {
	sign := ""
	if t < 0 {
		sign, t = "-", -t
		t += 99 * time.Millisecond // down, away from zero
	}
	tenths := t / (100 * time.Millisecond)
	if tenths == 0 {
		sign = ""
	}
	return fmt.Sprintf("%s%02d:%02d.%d", sign, tenths/600, tenths/10%60, tenths%10)
}

// Minutes formats a length of time as m:ss, with hours as h:mm:ss from one hour
// on and thousandths only where there are any.
func Minutes(t time.Duration) string {
	s := t / time.Second
	out := fmt.Sprintf("%d:%02d", s/60, s%60)
	if s >= 3600 {
		out = fmt.Sprintf("%d:%02d:%02d", s/3600, s/60%60, s%60)
	}
	if rest := t % time.Second; rest != 0 {
		out += strings.TrimRight(fmt.Sprintf(".%03d", rest/time.Millisecond), "0")
	}
	return out
}
