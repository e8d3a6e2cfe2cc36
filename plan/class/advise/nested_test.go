package advise

import (
	"strings"
	"testing"

	"cuewright/plan"
	"cuewright/plan/class"
)

// TestHardRecoveryOfNestedSets: a recovery between sets is held against all work of the sets within those before and
// after it, and against nothing else.
func TestHardRecoveryOfNestedSets(t *testing.T) {
	for speed, warned := range map[string]bool{"9": false, "13": true} {
		p, problems := plan.Read("x.yaml", []byte(`class: X
units: km/h
warm-up: [{speed: 15, for: 6m}]
main:
  - sets: 2
    segments:
      - sets: 3
        segments: [{speed: 12, for: 60s}]
        between: [{speed: 9, for: 60s}]
    between: [{speed: `+speed+`, for: 2m}]
`))
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		c, _ := class.Unfold(p)
		found := false
		for _, x := range Class(c) {
			found = found || x.Kind == hardRecovery && strings.Contains(x.Message, "the work around it for")
		}
		if found != warned {
			t.Errorf("a recovery at %s: warned %v", speed, found)
		}
	}
}
