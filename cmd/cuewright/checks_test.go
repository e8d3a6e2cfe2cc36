package main

import (
	"bytes"
	"context"
	"cuewright/cmd/cuewright/cli"
	"cuewright/testdata/golden"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// allChecks are the kinds of problems that `cuewright check` can find.
var allChecks = []string{
	"overlap", "cut-off", "unwarned", "uncounted", "untrue", "unrecorded", "wrong-length",
	"gap", "late", "unsaid-name", "left-out", "crowded",
	"no-warm-up", "no-cool-down", "steep-change", "hard-recovery", "out-of-range", "hard-for-beginners",
}

// TestChecks runs `check` on every sample of testdata/checks: plans, and lists
// of the class in class.yaml with one thing broken. Each check has a sample that
// triggers it.
func TestChecks(t *testing.T) {
	t.Chdir("../../testdata/checks")
	plans, _ := filepath.Glob("*.yaml")
	lists, _ := filepath.Glob("*.csv")
	if len(plans) < 5 || len(lists) < 14 {
		t.Fatalf("%d plans and %d lists found", len(plans), len(lists))
	}
	seen := map[string]bool{}
	kind := regexp.MustCompile(`: (?:error|warning): ([a-z-]+): `)
	for _, file := range append(plans, lists...) {
		args := []string{"check", file}
		if filepath.Ext(file) == ".csv" {
			class, _, sets := strings.Cut(file, "-")
			if !sets || class != "sets" {
				class = "class"
			}
			args = []string{"check", "--cues", file, class + ".yaml"}
		}
		var out, errOut bytes.Buffer
		status := run(context.Background(), args, &out, &errOut)
		for _, m := range kind.FindAllStringSubmatch(out.String(), -1) {
			seen[m[1]] = true
		}
		if want := strings.Contains(out.String(), ": error: "); (status == cli.Problems) != want || errOut.Len() > 0 {
			t.Errorf("%v: status %d, errors in the output: %v, standard error %q", args, status, want, errOut.String())
		}
		golden.Compare(t, strings.TrimSuffix(file, filepath.Ext(file))+".out", out.String())
	}
	for _, k := range allChecks {
		if !seen[k] {
			t.Errorf("no sample triggers the check %q", k)
		}
	}
	for k := range seen {
		if !slices.Contains(allChecks, k) && k != "list" {
			t.Errorf("the kind %q is not in the list of checks", k)
		}
	}
}
