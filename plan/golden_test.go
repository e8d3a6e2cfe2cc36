package plan_test

import (
	"cuewright/plan"
	"cuewright/plan/class"
	"cuewright/plan/fit"
	"cuewright/plan/problem"
	"cuewright/testdata/golden"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestBadPlans reads every plan of testdata/plans/bad and compares what is said
// about it with the .out file beside it: both together are the manual of errors.
func TestBadPlans(t *testing.T) {
	files, err := filepath.Glob("../testdata/plans/bad/*.yaml")
	if err != nil || len(files) < 30 {
		t.Fatalf("%d bad plans found, err %v", len(files), err)
	}
	for _, file := range files {
		t.Run(filepath.Base(file), func(t *testing.T) {
			t.Parallel()
			data, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			p, problems := plan.Read(filepath.Base(file), data)
			if len(problems) == 0 {
				c, found := class.Unfold(p)
				problems = append(found, fit.Check(p, c.Length)...)
			}
			if !problem.HasErrors(problems) {
				t.Error("the plan is taken for good")
			}
			var got strings.Builder
			for _, p := range problems {
				if p.Severity == problem.Error {
					got.WriteString(p.String() + "\n")
				}
			}
			golden.Compare(t, strings.TrimSuffix(file, ".yaml")+".out", got.String())
		})
	}
}
