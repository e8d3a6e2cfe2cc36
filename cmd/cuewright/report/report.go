// Package report writes what commands print: problems, what is missing in a voice and
// wrong with its recordings, and what is going on now.
package report

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode"

	"cuewright/cmd/cuewright/cli"
	"cuewright/cmd/cuewright/job"
	"cuewright/cues"
	"cuewright/plan/problem"
)

// Problems writes one line a problem.
func Problems(w io.Writer, found []problem.Problem) {
	for _, p := range found {
		fmt.Fprintln(w, Sanitise(p.String()))
	}
}

// Common takes out of what was found with a plan what was found with one before it and stands in their common file, and
// keeps in seen what is new. A mistake there is told once, however many plans share it.
func Common(found []problem.Problem, seen map[string]bool) []problem.Problem {
	return slices.DeleteFunc(found, func(p problem.Problem) bool {
		line := p.String()
		known := p.In != "" && seen[line]
		seen[line] = true
		return known
	})
}

// Sanitise is text with what would work a terminal made visible: a file may have any
// name.
func Sanitise(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsPrint(r) {
			return r
		}
		return unicode.ReplacementChar
	}, text)
}

// ExitStatus ends a command according to its problems.
func ExitStatus(found []problem.Problem, strict bool) error {
	if problem.HasErrors(found) || strict && len(found) > 0 {
		return cli.ErrProblems
	}
	return nil
}

// Count counts problems in words: "no problems", "1 error, 2 warnings".
func Count(found []problem.Problem) string {
	errors := 0
	for _, p := range found {
		if p.Severity == problem.Error {
			errors++
		}
	}
	text := ""
	add := func(n int, what string) {
		if n == 0 {
			return
		}
		if text != "" {
			text += ", "
		}
		text += fmt.Sprintf("%d %s", n, what)
		if n != 1 {
			text += "s"
		}
	}
	add(errors, "error")
	add(len(found)-errors, "warning")
	if text == "" {
		return "no problems"
	}
	return text
}

// AcrossLevels are the problems of one plan's classes, sorted, each once; those that
// not every level has say which have them.
func AcrossLevels(jobs []*job.Job) []problem.Problem {
	var all []problem.Problem
	levels := map[problem.Problem][]string{}
	for _, j := range jobs {
		for _, p := range j.Problems {
			of := levels[p]
			if of == nil {
				all = append(all, p)
			}
			if level := string(j.Level()); !slices.Contains(of, level) {
				levels[p] = append(of, level)
			}
		}
	}
	for i, p := range all {
		if of := levels[p]; len(of) < len(jobs) {
			all[i].Message += " (level " + strings.Join(of, ", ") + ")"
		}
	}
	problem.Sort(all)
	return all
}

// SpokenCalls counts the calls of a list that are spoken.
func SpokenCalls(l *cues.List) int {
	n := 0
	for i := range l.Cues {
		if l.Cues[i].Lane == cues.Speech {
			n++
		}
	}
	return n
}
