package role

import (
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"cuewright/plan"
	"cuewright/plan/class"
	"cuewright/plan/parts"
	"cuewright/plan/value"
	"cuewright/testdata/golden"
)

// meant is what a coach means by the efforts of the main parts of testdata/plans/forms, and by what stands out elsewhere;
// the rest of warm-up and cool-down is easy. Written down from the plans by hand, before the rule was tried.
var meant = map[string]map[string]value.Role{
	"01-hills":         {"hill": value.Work, "easy": value.Recovery},
	"03-ladder":        {"rung": value.Work, "easy": value.Recovery},
	"04-tempo":         {"tempo": value.Work, "jog": value.Recovery},
	"06-fartlek":       {"push": value.Work, "sprint": value.Work, "climb": value.Work, "steady": value.Recovery, "easy": value.Recovery},
	"07-walk-run":      {"jog": value.Work, "brisk walk": value.Recovery},
	"08-progression":   {"": value.Work},
	"09-time-trial":    {"test": value.Work, "strides": value.Work},
	"11-rolling":       {"hard": value.Work, "roll": value.Recovery},
	"13-ramp":          {"climb": value.Work},
	"14-kick":          {"steady": value.Work, "tempo": value.Work, "kick": value.Work},
	"16-tabata":        {"sprint": value.Work, "rest": value.Recovery, "easy": value.Recovery},
	"18-thirty-thirty": {"fast": value.Work, "float": value.Recovery, "easy": value.Recovery},
}

// TestForms lists the guess for every segment of the twelve classes beside what a coach means. At least 95 % are right, and
// those that are not are of an effort that Check notes or stand in the warm-up.
func TestForms(t *testing.T) {
	files, _ := filepath.Glob("../../../testdata/plans/forms/*.yaml")
	var out strings.Builder
	right, all := 0, 0
	for _, file := range files {
		name := strings.TrimSuffix(filepath.Base(file), ".yaml")
		p, problems, err := plan.Load(file)
		if err != nil || len(problems) > 0 {
			t.Fatal(problems, err)
		}
		c, _ := class.Unfold(p)
		for i, g := range Of(c) {
			s := &c.Segments[i]
			want := value.Easy
			if role, ok := meant[name][s.Effort]; ok && (s.Part == parts.Main || s.Effort == "strides") {
				want = role
			}
			all++
			mark := ""
			if g.Role == want {
				right++
			} else {
				mark = "  <- " + string(want) + " is meant"
			}
			if g.Close {
				mark += "  (close)"
			}
			fmt.Fprintf(&out, "%-17s %-10s %-44s %s%s\n", name, s.Part, s.Name(), g.Role, mark)
		}
	}
	fmt.Fprintf(&out, "%d of %d as meant\n", right, all)
	if len(files) != 12 || right*100 < all*95 {
		t.Errorf("%d of %d segments of %d classes are as meant, at least 95 %% should be", right, all, len(files))
	}
	golden.Compare(t, "../../../testdata/plans/forms/roles.txt", out.String())
}

// TestSaid: what the plan says stands, of an effort or of a segment, and a guess that is close is noted once.
func TestSaid(t *testing.T) {
	p, problems := plan.Read("x.yaml", []byte(`class: X
units: km/h
efforts:
  even: {speed: 12}
  rise: {speed: 8.5}
  crest: {speed: 13, role: work}
main:
  - {effort: crest, for: 60s}
  - {effort: even, for: 60s}
  - {effort: crest, for: 60s}
  - {effort: rise, for: 60s}
  - {effort: even, for: 60s, role: easy}
  - {effort: crest, for: 60s, role: recovery}
`))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	c, _ := class.Unfold(p)
	var got []string
	for _, g := range Of(c) {
		got = append(got, fmt.Sprintf("%s %v %v", g.Role, g.Said, g.Close))
	}
	if want := "work true false, work false true, work true false, recovery false false, easy true false, recovery true false"; strings.Join(got, ", ") != want {
		t.Errorf("%s, want %s", strings.Join(got, ", "), want)
	}
	if found := Check(c); len(found) != 1 || found[0].Line != 4 {
		t.Errorf("%v", found)
	}
}

// TestManyAlike: ten thousand segments that are all alike take no time to compare with each other.
func TestManyAlike(t *testing.T) {
	p, problems := plan.Read("x.yaml", []byte("class: X\nunits: km/h\nefforts: {a: {speed: 9}}\nmain:\n  - {sets: 9999, segments: [{effort: a, for: 4s}]}\n  - {speed: 12, for: 3s}\n"))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	c, _ := class.Unfold(p)
	all := loads(c)
	if all[5000].first != 0 || all[5000].last != 9998 || all[9999].first != 9999 {
		t.Errorf("the run of a segment in the middle goes from %d to %d", all[5000].first, all[5000].last)
	}
	if g := Of(c); g[0].Role != value.Work || g[9999].Role != value.Work {
		t.Errorf("%+v and %+v", g[0], g[9999])
	}
}
