package advise

import (
	"slices"
	"strings"
	"testing"
	"time"

	"cuewright/plan"
	"cuewright/plan/class"
	"cuewright/plan/problem"
)

// TestAdvice triggers each advice, and stays just at its limit: what a limit
// names passes. Each class has a warm-up and a cool-down of 5:00 unless it says otherwise.
func TestAdvice(t *testing.T) {
	const parts = "warm-up: [{speed: 6, incline: 0, for: 5m}]\ncool-down: [{speed: 6, incline: 0, for: 5m}]\n"
	tests := []struct{ name, text, want string }{
		{"nothing", parts + "main: [{speed: 9, incline: 0, for: 6m}]", ""},
		{"no parts", "main: [{speed: 9, incline: 0, for: 6m}]", "no-warm-up no-cool-down"},
		{"short parts", "warm-up: [{speed: 6, for: 4m59s}]\nmain: [{speed: 9, for: 6m}]\ncool-down: [{speed: 6, for: 299s}]", "no-warm-up no-cool-down"},
		{"parts in pieces", "warm-up: [{speed: 6, for: 2m}, {speed: 7, for: 3m}]\nmain: [{speed: 9, for: 6m}]\ncool-down: [{speed: 6, for: 5m}]", ""},
		{"no parts wanted", "main: [{speed: 9, for: 6m}]\nadvice: {warm-up: 0s, cool-down: 0s}", ""},
		{"steep", parts + "main:\n  - {speed: 6, incline: 0, for: 6m}\n  - {speed: 12.1, incline: 0, for: 6m}", "steep-change"},
		{"six more pass", parts + "main:\n  - {speed: 6, incline: 0, for: 6m}\n  - {speed: 12, incline: 6, for: 6m}", ""},
		{"steep downwards", parts + "main:\n  - {speed: 10, incline: 6, for: 6m}\n  - {speed: 3.9, incline: 6, for: 6m}", "steep-change"},
		{"steep incline", parts + "main:\n  - {speed: 6, incline: 6.5, for: 6m}", "steep-change"},
		{"steep at the slow end", parts + "main: [{speed: [12.5, 12.5], incline: 0, for: 6m}, {speed: [6.4, 12.5], incline: 0, for: 6m}]\nadvice: {speed-change: 6.5 km/h}", ""},
		{"steeper at the slow end", parts + "main: [{speed: [12.5, 12.5], incline: 0, for: 6m}, {speed: [5.9, 12.5], incline: 0, for: 6m}]\nadvice: {speed-change: 6.5 km/h}", "steep-change"},
		{"beyond", parts + "main: [{speed: 20.1, incline: 0, for: 6m}]\nadvice: {speed-change: 20 km/h}", "out-of-range"},
		{"at the top", parts + "main: [{speed: 20, incline: 15, for: 6m}]\nadvice: {speed-change: 20 km/h, incline-change: 15}", ""},
		{"downhill", parts + "main: [{speed: 10, incline: -1, for: 6m}]", "out-of-range"},
		{"downhill machines", parts + "main: [{speed: 10, incline: -1, for: 6m}]\nadvice: {low-incline: -3}", ""},
		{"rest harder", parts + "main:\n  - {sets: 2, segments: [{speed: 9, incline: 0, for: 1m}], between: [{speed: 10, incline: 0, for: 1m}]}", "hard-recovery"},
		{"rest a tenth faster", parts + "main:\n  - {sets: 2, segments: [{speed: 9, incline: 0, for: 1m}], between: [{speed: 9.1, incline: 0, for: 1m}]}", "hard-recovery"},
		{"rest a tenth steeper", parts + "main:\n  - {sets: 2, segments: [{speed: 9, incline: 0, for: 1m}], between: [{speed: 9, incline: 0.1, for: 1m}]}", ""},
		{"rest steeper", parts + "main:\n  - {sets: 2, segments: [{speed: 10, incline: 0, for: 1m}], between: [{speed: 9, incline: 6, for: 1m}]}", "hard-recovery"},
		{"rest easier", parts + "main:\n  - {sets: 2, segments: [{speed: 10, incline: 0, for: 1m}], between: [{speed: 9, incline: 0, for: 1m}]}", ""},
		{"rest no harder than the hardest", parts + "main:\n  - {sets: 2, segments: [{speed: 10, incline: 0, for: 1m}, {speed: 6, incline: 0, for: 1m}], between: [{speed: 9, incline: 0, for: 1m}]}", ""},
		// No estimate between walking and running: 7.5 is faster than 7 all the same.
		{"rest faster", parts + "main:\n  - {sets: 2, segments: [{speed: 7, incline: 0, for: 1m}], between: [{speed: 7.5, incline: 0, for: 1m}]}", "hard-recovery"},
		{"rest faster, less steep", parts + "main:\n  - {sets: 2, segments: [{speed: 7, incline: 1, for: 1m}], between: [{speed: 7.5, incline: 0, for: 1m}]}", ""},
		// 9 km/h is 33.5/3.5 = 9.57 METs; a fifth of 20 minutes is allowed.
		{"hard for beginners", "audience: beginners\n" + parts + "main: [{speed: 9, incline: 0, for: 4m}, {speed: 6, incline: 0, for: 5m59s}]", "hard-for-beginners"},
		{"as hard as allowed", "audience: beginners\n" + parts + "main: [{speed: 9, incline: 0, for: 4m}, {speed: 6, incline: 0, for: 6m}]", ""},
		{"hard at the fast end", "audience: beginners\n" + parts + "main: [{speed: [5, 9], incline: 0, for: 10m}]", ""},
		{"hard for others", "audience: mixed\n" + parts + "main: [{speed: 9, incline: 0, for: 20m}]", ""},
		{"hard with other limits", "audience: beginners\n" + parts + "main: [{speed: 6, incline: 0, for: 1m}]\nadvice: {hard: 3.8, hard-share: 99}", "hard-for-beginners"},
	}
	for _, test := range tests {
		p, problems := plan.Read("x.yaml", []byte("class: X\nunits: km/h\n"+test.text+"\n"))
		if len(problems) > 0 {
			t.Fatal(test.name, problems)
		}
		c, _ := class.Unfold(p)
		var kinds []string
		for _, p := range Class(c) {
			if p.Severity != problem.Warning || p.File != "x.yaml" || !p.IsSet() || p.Message == "" {
				t.Errorf("%s: %+v", test.name, p)
			}
			// The steps back to the cool-down are not what is tested.
			if !slices.Contains(kinds, string(p.Kind)) {
				kinds = append(kinds, string(p.Kind))
			}
		}
		if got := strings.Join(kinds, " "); got != test.want {
			t.Errorf("%s: advice %q (%v), want %q", test.name, got, Class(c), test.want)
		}
	}
}

// TestByFeel: a target without a speed, and a class of them, is no reason for advice.
func TestByFeel(t *testing.T) {
	p, problems := plan.Read("x.yaml", []byte("class: X\nunits: min/km\naudience: beginners\nadvice: {warm-up: 0s, cool-down: 0s}\nmain:\n  - {sets: 2, segments: [{feel: 2, for: 1m}], between: [{feel: 9, for: 1m}]}\n"))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	c, _ := class.Unfold(p)
	if got := Class(c); len(got) > 0 {
		t.Errorf("advice %v", got)
	}
}

// TestManySets: advice on the longest class takes no time to speak of, and comes
// once for a place of the plan.
func TestManySets(t *testing.T) {
	p, problems := plan.Read("x.yaml", []byte("class: X\nunits: km/h\nmain:\n  - {sets: 5000, segments: [{speed: 7, for: 3s}], between: [{speed: 14, for: 3s}]}\n"))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	c, _ := class.Unfold(p)
	got := Class(c)
	if len(c.Segments) != 9999 || len(got) != 5 { // two parts, the way up and down, one recovery
		t.Errorf("%d segments, %d warnings", len(c.Segments), len(got))
	}
	if last := got[len(got)-1]; !last.Timed || last.At > time.Minute {
		t.Errorf("not told at its first place: %v", last)
	}
}
