package plan_test

import (
	"cuewright/plan"
	"cuewright/plan/class"
	"cuewright/plan/problem"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// FuzzRead: whatever stands in a plan file, it is read without a panic, and what
// is taken for good can be unfolded within the bounds.
func FuzzRead(f *testing.F) {
	for _, pattern := range []string{"../testdata/plans/*/*.yaml", "../testdata/cases/yaml/*", "../samples/*.yaml"} {
		files, _ := filepath.Glob(pattern)
		for _, file := range files {
			data, err := os.ReadFile(file)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(data)
		}
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		p, problems := plan.Read("x.yaml", data)
		for _, bad := range problems {
			if bad.Severity != problem.Error || !bad.IsSet() || bad.Message == "" || strings.ContainsRune(bad.String(), '\n') {
				t.Errorf("problem %q", bad)
			}
		}
		if len(problems) > 0 {
			return
		}
		c, _ := class.Unfold(p)
		if len(c.Segments) == 0 || len(c.Segments) > 10_000 || c.Length > 12*time.Hour {
			t.Errorf("%d segments of %v", len(c.Segments), c.Length)
		}
		for _, s := range c.Segments {
			if s.Length <= 0 || !s.Target.ByFeel && s.Target.Speed.Low <= 0 != s.Target.Floor || s.Set > s.Sets || s.Outer.Set > s.Outer.Sets || s.Name() == "" {
				t.Fatalf("%+v", s)
			}
		}
	})
}

// TestYAMLCases: what the YAML library takes silently is refused here.
func TestYAMLCases(t *testing.T) {
	for file, want := range map[string]string{
		"error_line_off_by_one.yaml":    "error_line_off_by_one.yaml:5:1: error: not readable as YAML",
		"error_without_line.yaml":       "error_without_line.yaml:1:1: error: not readable as YAML",
		"null_item_dropped.yaml":        "null_item_dropped.yaml:1:1: error: unknown key \"segments\"",
		"trailing_garbage_ignored.yaml": "trailing_garbage_ignored.yaml:3:1: error: not readable as YAML",
	} {
		data, err := os.ReadFile("../testdata/cases/yaml/" + file)
		if err != nil {
			t.Fatal(err)
		}
		_, problems := plan.Read(file, data)
		if len(problems) == 0 || !strings.HasPrefix(problems[0].String(), want) {
			t.Errorf("%v, want %s", problems, want)
		}
	}
	for text, want := range map[string]string{
		"sets: 2.9": `"2.9" is not a whole number`, "sets: 010": `"010" is not a whole number`, "sets: 1_000": `"1_000" is not a whole number`,
		"sets: ~": `the key "sets" has no value`, "sets: .nan": `".nan" is not a whole number`,
	} {
		_, problems := plan.Read("x.yaml", []byte("class: X\nunits: km/h\nmain:\n  - segments: [{speed: 8, for: 5s}]\n    "+text+"\n"))
		if len(problems) == 0 || !strings.Contains(problems[len(problems)-1].Message+problems[0].Message, want) {
			t.Errorf("%s: %v, want %s", text, problems, want)
		}
	}
}
