package main

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"cuewright/cmd/cuewright/cli"
	"cuewright/plan/problem"
	"cuewright/testdata/golden"
)

// TestChecks runs `check` on every sample of testdata/checks: plans, and lists of the
// class in class.yaml with one thing broken. Each kind of problem has a sample that has
// it, and there are no others.
func TestChecks(t *testing.T) {
	t.Chdir("../../testdata/checks")
	plans, _ := filepath.Glob("*.yaml")
	lists, _ := filepath.Glob("*.csv")
	if len(plans) < 5 || len(lists) < 14 {
		t.Fatalf("%d plans and %d lists found", len(plans), len(lists))
	}
	seen := map[problem.Kind]bool{}
	for _, file := range append(plans, lists...) {
		args := checkArgs(t, file)
		var out, errOut bytes.Buffer
		status := run(context.Background(), args, &out, &errOut)
		if want := strings.Contains(out.String(), ": error: "); (status == cli.Problems) != want || errOut.Len() > 0 {
			t.Errorf("%v: status %d, errors in the output: %v, standard error %q", args, status, want, errOut.String())
		}
		golden.Compare(t, strings.TrimSuffix(file, filepath.Ext(file))+".out", out.String())
		for _, k := range kindsOf(t, args) {
			seen[k] = true
		}
	}
	for _, k := range problem.Kinds {
		if !seen[k.Kind] {
			t.Errorf("no sample has a problem of the kind %q: %s", k.Kind, k.Means)
		}
		delete(seen, k.Kind)
	}
	for k := range seen {
		t.Errorf("the kind %q is not in the list of kinds", k)
	}
}

// checkArgs is the command line for a sample. The first line of a plan may give options.
func checkArgs(t *testing.T, file string) []string {
	t.Helper()
	if filepath.Ext(file) == ".csv" {
		class := "class.yaml"
		if strings.HasPrefix(file, "sets-") {
			class = "sets.yaml"
		}
		return []string{"check", "--cues", file, class}
	}
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	args := []string{"check", file}
	first, _, _ := strings.Cut(string(data), "\n")
	if options, ok := strings.CutPrefix(first, "# with: "); ok {
		args = append(args, strings.Fields(options)...)
	}
	return args
}

// kindsOf are the kinds of problems that a check finds.
func kindsOf(t *testing.T, args []string) []problem.Kind {
	t.Helper()
	var out, errOut bytes.Buffer
	run(context.Background(), append(args, "--json"), &out, &errOut)
	var found struct{ Problems []struct{ Kind problem.Kind } }
	if err := json.Unmarshal(out.Bytes(), &found); err != nil {
		t.Fatalf("%v: %v", args, err)
	}
	var kinds []problem.Kind
	for _, p := range found.Problems {
		kinds = append(kinds, p.Kind)
	}
	return kinds
}
