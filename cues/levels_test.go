package cues_test

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"cuewright/cues"
	"cuewright/cues/check"
	"cuewright/cues/export"
	"cuewright/cues/kind"
	"cuewright/cues/phrase"
	"cuewright/plan"
	"cuewright/plan/class"
	"cuewright/plan/class/show"
	"cuewright/plan/problem"
	"cuewright/plan/units"
)

// hear understands the words of an English number, read by themselves and not with
// the book: tenths, or seconds of a pace.
func hear(t *rapid.T, text string, pace bool) int64 {
	ones := strings.Fields("zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen")
	tens := strings.Fields("_ _ twenty thirty forty fifty sixty seventy eighty ninety")
	words := strings.Fields(text)
	cardinal := func() int64 {
		if len(words) == 0 {
			t.Fatalf("%q ends too soon", text)
		}
		n, ok := int64(0), false
		if i := slices.Index(tens, words[0]); i > 0 {
			n, ok, words = int64(10*i), true, words[1:]
		}
		if len(words) > 0 {
			if i := slices.Index(ones, words[0]); i >= 0 && (!ok || i > 0 && i < 10) {
				n, ok, words = n+int64(i), true, words[1:]
			}
		}
		if !ok {
			t.Fatalf("%q is no number", text)
		}
		return n
	}
	n := cardinal() * 10
	switch {
	case pace && slices.Equal(words, []string{"flat"}):
		return n * 6
	case pace:
		if words[0] == "oh" {
			words = words[1:]
		}
		n = n*6 + cardinal()
	case len(words) > 0 && words[0] == "point":
		words = words[1:]
		n += cardinal()
	}
	if len(words) > 0 {
		t.Fatalf("%q goes on after the number", text)
	}
	return n
}

// heardRange understands the one or two numbers after a word of a call; ok is false
// where the call does not have the word.
func heardRange(t *rapid.T, call, word, end string, pace bool) (low, high int64, ok bool) {
	call, _, _ = strings.Cut(call, "keep ")
	_, rest, ok := strings.Cut(call, word+" ")
	if !ok {
		return 0, 0, false
	}
	rest, _, _ = strings.Cut(rest, end)
	from, to, both := strings.Cut(rest, " to ")
	low = hear(t, from, pace)
	high = low
	if both {
		high = hear(t, to, pace)
	}
	return low, high, true
}

// TestCalledIsTarget: on random plans, levels, units and steps every number that is
// called, understood from its words, is the number of the segment's target, and so are
// those of the lists; what "stays" stays, and what rises by "one step" does.
func TestCalledIsTarget(t *testing.T) {
	allUnits := units.Names()
	seen := map[string]int{}
	property := func(t *rapid.T) {
		u := units.Unit(rapid.SampledFrom(allUnits).Draw(t, "plan's units"))
		target := func(label string) string {
			a, b := rapid.IntRange(60, 90).Draw(t, label), rapid.IntRange(0, 20).Draw(t, label)
			switch {
			case rapid.IntRange(0, 4).Draw(t, "feel") == 0:
				return fmt.Sprintf("feel: [%d, %d.5]", a/10-5, a/10-4+b/10)
			case u.Pace():
				return fmt.Sprintf("speed: [%q, %q]", u.Format(units.Speed(a*5+b*7)), u.Format(units.Speed(a*5)))
			}
			return fmt.Sprintf("speed: [%s, %s]", u.Format(units.Speed(a)), u.Format(units.Speed(a+b)))
		}
		grade := ""
		segment := func() string {
			g := ""
			if grade != "" {
				g = fmt.Sprintf(", incline: %d", rapid.IntRange(0, 2).Draw(t, "incline"))
			}
			return fmt.Sprintf("{%s%s, for: 40s}", target("work"), g)
		}
		if rapid.Bool().Draw(t, "graded") {
			grade = "yes"
		}
		text := fmt.Sprintf("class: X\nunits: %s\nmain:\n", u)
		for range rapid.IntRange(1, 3).Draw(t, "blocks") {
			text += fmt.Sprintf("  - sets: %d\n    segments: [%s", rapid.IntRange(2, 6).Draw(t, "sets"), segment())
			if rapid.Bool().Draw(t, "two") {
				text += ", " + segment()
			}
			text += "]\n"
			if rapid.Bool().Draw(t, "between") {
				text += "    between: [" + segment() + "]\n"
			}
		}
		p, problems := plan.Read("x.yaml", []byte(text))
		if len(problems) > 0 {
			t.Fatal(text, problems)
		}
		set := class.Options{Level: rapid.SampledFrom(append(slices.Clone(class.Levels), class.NoLevel)).Draw(t, "level"),
			Units: units.Unit(rapid.SampledFrom(append(allUnits, "")).Draw(t, "units")), Step: units.Speed(rapid.IntRange(0, 10).Draw(t, "step"))}
		c, problems := set.Unfold(p)
		if problem.HasErrors(problems) {
			t.Fatal(problems)
		}
		voice := brisk()
		l := cues.Schedule(c, phrase.English(), voice)
		for _, x := range append(l.Problems, check.List(l, voice)...) {
			if x.Severity == problem.Error {
				t.Fatal(text, set, x)
			}
		}
		name := "speed"
		if c.Units.Pace() {
			name = "pace"
		}
		for i := range c.Segments {
			to := c.Segments[i].Target
			start := c.Segments[i].Start
			k := slices.IndexFunc(l.Cues, func(q cues.Cue) bool {
				return q.Kind == kind.Ahead && q.Start < start && q.Start >= start-40*time.Second
			})
			if k < 0 {
				t.Fatalf("segment %d is not called", i)
			}
			call := l.Cues[k].Text
			low, high, spoken := heardRange(t, call, name, ",", c.Units.Pace())
			feltLow, feltHigh, felt := heardRange(t, call, "effort", " out of ten", false)
			switch {
			case spoken && felt:
				t.Fatalf("%q names both", call)
			case spoken:
				seen["speed"]++
				if to.ByFeel || low != int64(to.Speed.Low) || high != int64(to.Speed.High) {
					t.Fatalf("%q, but the target is %s", call, show.TargetText(c.Units, to))
				}
			case felt:
				seen["feel"]++
				if !to.ByFeel || feltLow != to.RPE.Low || feltHigh != to.RPE.High {
					t.Fatalf("%q, but the target is %s", call, show.TargetText(c.Units, to))
				}
			default: // it stays
				seen["stays"]++
				if i == 0 || c.Segments[i-1].Target.Speed != to.Speed || c.Segments[i-1].Target.RPE != to.RPE || c.Segments[i-1].Target.ByFeel != to.ByFeel {
					t.Fatalf("%q does not name the target %s", call, show.TargetText(c.Units, to))
				}
			}
			if strings.Contains(call, "one step") {
				seen["step"]++
				if from := c.Segments[i-1].Target.Speed; c.Units.Faster(to.Speed.Low, from.Low) != int64(c.Step) {
					t.Fatalf("%q after %v, by steps of %d", call, from, c.Step)
				}
			}
		}
		// The lists write the same numbers.
		var out bytes.Buffer
		if err := export.Text(&out, l); err != nil {
			t.Fatal(err)
		}
		d := export.Describe(l, nil)
		for i := range c.Segments {
			s := &c.Segments[i]
			if want := "── " + s.Name() + " ── 0:40 ── " + show.TargetText(c.Units, s.Target) + "\n"; !strings.Contains(out.String(), want) {
				t.Fatalf("%q is not in\n%s", want, out.String())
			}
			scale, ends := 10.0, []int64{int64(s.Target.Speed.Low), int64(s.Target.Speed.High)}
			numbers := d.Segments[i].Speed
			if c.Units.Pace() {
				scale = 1
			}
			if s.Target.ByFeel {
				scale, ends, numbers = 10, []int64{s.Target.RPE.Low, s.Target.RPE.High}, d.Segments[i].Feel
			}
			if n := len(numbers); n == 0 || numbers[0] != float64(ends[0])/scale || numbers[n-1] != float64(ends[1])/scale || (n == 1) != (ends[0] == ends[1]) {
				t.Fatalf("JSON has %v for %v", numbers, ends)
			}
		}
	}
	// A step is rare: a round of a few plans may lack it.
	kinds := []string{"speed", "feel", "stays", "step"}
	const rounds = 20
	for i := 0; i < rounds && (i == 0 || len(seen) < len(kinds)); i++ {
		rapid.Check(t, property)
	}
	for _, what := range kinds {
		if seen[what] == 0 {
			t.Errorf("no call was of the kind %q: %v", what, seen)
		}
	}
}
