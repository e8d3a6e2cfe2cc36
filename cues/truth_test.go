package cues_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"cuewright/cues"
	"cuewright/cues/calls"
	"cuewright/cues/check"
	"cuewright/cues/kind"
	"cuewright/cues/phrase"
	"cuewright/plan"
	"cuewright/plan/class"
	"cuewright/plan/problem"
	"cuewright/plan/settings"
	"cuewright/plan/units"
	"cuewright/testdata/golden"
)

// errorsOf are the errors of a class as it is placed for a brisk voice in a unit.
func errorsOf(t *testing.T, text string, u units.Unit) []problem.Problem {
	t.Helper()
	p, found := plan.Read("x.yaml", []byte(text))
	if len(found) > 0 {
		t.Fatal(found)
	}
	c, found := class.Options{Units: u}.Unfold(p)
	l := cues.Schedule(c, phrase.English(), brisk())
	var errors []problem.Problem
	for _, x := range append(append(found, l.Problems...), check.List(l, brisk())...) {
		if x.Severity == problem.Error {
			errors = append(errors, x)
		}
	}
	return errors
}

// TestShortWork: 20 s of work and 10 s of rest at all defaults is a class, whatever the
// unit: where the full count leaves no room for the numbers, a shorter one is counted.
func TestShortWork(t *testing.T) {
	for _, text := range []string{`
class: Welcome
units: km/h
efforts:
  surge: {speed: 14.5, incline: 1.5}
  float: {speed: 6.5, incline: 0.5}
main:
  - sets: 8
    segments:
    - {effort: surge, for: 20s}
    - {effort: float, for: 10s}
`, `
class: Welcome
units: km/h
main: [{speed: 8, incline: 1, for: 10m}, {speed: 9, incline: 2, for: 10m}]
calls: {ahead: 10s, count: {from: 9, with: beeps}}
`} {
		for _, u := range units.Names() {
			if found := errorsOf(t, text, units.Unit(u)); len(found) > 0 {
				t.Errorf("%s: %v", u, found)
			}
		}
	}
}

// TestTimesSaid: what is true is not called untrue. A time left may be longer than an
// hour, and the name of an effort may speak of a time.
func TestTimesSaid(t *testing.T) {
	for name, text := range map[string]string{
		"long": "class: Long\nunits: km/h\nmain: [{speed: 8, for: 1h40m}, {speed: 9, for: 5m}]\ncalls: {left: [90m, 61m, 60m, 30m], quiet: 12h}\n",
		"most": "class: Welcome\nunits: km/h\nmain: [{speed: 8, for: 11h59m}, {speed: 9, for: 60s}]\ncalls: {left: [99m, 60m, 60s], quiet: 12h}\n",
		"names": `
class: Welcome
units: km/h
efforts:
  one minute hard: {speed: 12, incline: 1}
  two minutes: {speed: 7, incline: 0}
main: [{effort: one minute hard, for: 60s}, {effort: two minutes, for: 90s}, {effort: one minute hard, for: 60s}]
`} {
		if found := errorsOf(t, text, ""); len(found) > 0 {
			t.Errorf("%s: %v", name, found)
		}
	}
}

// TestTimesSaidInRows: in a row that was moved the name of an effort is no time either,
// and a time that is not true is still found.
func TestTimesSaidInRows(t *testing.T) {
	c := unfold(t, "class: Welcome\nunits: km/h\nefforts: {hard: {speed: 12}, two minutes: {speed: 7}}\n"+
		"main: [{effort: hard, for: 60s}, {effort: two minutes, for: 90s}, {effort: hard, for: 60s}]\n")
	for _, x := range []struct {
		kind  kind.Kind
		text  string
		wrong bool
	}{
		{kind.Now, "two minutes, for ninety seconds", false},
		{kind.Now, "two minutes, for eighty seconds", true},
		{kind.Ahead, "in twenty seconds, two minutes, speed seven", false},
		{kind.Ahead, "in thirty seconds, two minutes, speed seven", true},
	} {
		l := cues.Schedule(c, phrase.English(), brisk())
		for i := range l.Cues {
			q := &l.Cues[i]
			if q.Kind == x.kind && q.Segment == map[kind.Kind]int{kind.Now: 1, kind.Ahead: 0}[x.kind] {
				q.Start += 100 * time.Millisecond
				q.Text, q.File, q.Says = x.text, "list.csv", cues.Claim{}
			}
		}
		wrong := false
		for _, p := range check.List(l, brisk()) {
			wrong = wrong || p.Kind == "untrue"
		}
		if wrong != x.wrong {
			t.Errorf("%q: untrue %v, want %v: %v", x.text, wrong, x.wrong, check.List(l, brisk()))
		}
	}
}

// TestOnce proves on random classes in all units that each call of a stretch stands at
// most once, and that a change which some count leaves room to warn of is warned of.
func TestOnce(t *testing.T) {
	book := phrase.English()
	shorter := 0
	rapid.Check(t, func(t *rapid.T) {
		text := "class: X\nunits: km/h\nmain:\n"
		for range rapid.IntRange(1, 6).Draw(t, "segments") {
			text += fmt.Sprintf("  - {speed: %d.%d, incline: %d.5, for: %dms}\n", rapid.IntRange(4, 18).Draw(t, "speed"), rapid.IntRange(0, 9).Draw(t, "tenths"),
				rapid.IntRange(0, 9).Draw(t, "incline"), rapid.SampledFrom([]int{6000, 10000, 12500, 15000, 20000, 45000, 90000}).Draw(t, "for"))
		}
		ahead := rapid.SampledFrom([]int{5, 10, 15, 20, 45}).Draw(t, "ahead")
		text += fmt.Sprintf("calls: {ahead: %ds, count: {from: %d, with: %s}}\n", ahead,
			rapid.IntRange(1, 10).Draw(t, "from"), rapid.SampledFrom([]string{"beeps", "words", "both"}).Draw(t, "with"))
		p, found := plan.Read("x.yaml", []byte(text))
		if len(found) > 0 {
			t.Fatal(text, found)
		}
		c, _ := class.Options{Units: units.Unit(rapid.SampledFrom(units.Names()).Draw(t, "units"))}.Unfold(p)
		v := &fake{letter: time.Duration(rapid.IntRange(30, 110).Draw(t, "letter")) * time.Millisecond}
		l := cues.Schedule(c, book, v)
		made, warned := map[string]bool{}, map[int]bool{}
		for _, q := range l.Cues {
			if q.Lane == cues.CountLane || q.Kind == kind.Reminder {
				continue
			}
			key := fmt.Sprint(q.Kind, q.Segment, q.Start < 0)
			if q.Kind == kind.Left || q.Kind == kind.Say {
				key += q.Text
			}
			if made[key] {
				t.Fatalf("%s is called twice, the second time at %v: %s\n%s", q.Kind, q.Start, q.Text, text)
			}
			made[key] = true
			if q.Kind == kind.Ahead && q.Segment >= 0 {
				warned[q.Segment] = true
			}
		}
		// The shortest wording, after the mark of the change before, no earlier than ahead,
		// and 400 ms before the first sound of a count that leaves a second free.
		mark, _ := v.Measure(book.Mark())
		for _, st := range calls.Of(c, book) {
			if st.Segment < 0 {
				continue
			}
			first := st.First
			if p.Calls.Count.With.Value != settings.Beeps {
				first += max(0, mark.Length-cues.LongTone)
			}
			for k, n := range st.Counts {
				lead := time.Duration(n) * time.Second
				if p.Calls.Count.With.Value != settings.Beeps && n > 0 {
					lead += 90 * time.Millisecond // the fake's beat
				}
				for _, call := range st.Calls {
					if call.Kind != kind.Ahead {
						continue
					}
					for _, w := range call.Wordings {
						spoken, _ := v.Measure(w.Text)
						from := max(first, st.Length-time.Duration(ahead)*time.Second).Truncate(50*time.Millisecond) + 50*time.Millisecond
						if to := st.Length - lead - 400*time.Millisecond; w.Says == 0 && from+spoken.Length+50*time.Millisecond <= to {
							if !warned[st.Segment] {
								t.Fatalf("%q fits before a count from %d in segment %d, but is not said\n%s", w.Text, n, st.Segment, text)
							}
							if k > 0 {
								shorter++
							}
						}
					}
				}
			}
		}
	})
	if shorter == 0 {
		t.Error("no class needed a shorter count: nothing was tried")
	}
}

// TestLimitsOfCalls has a pair for each limit of what is called, just inside and outside.
func TestLimitsOfCalls(t *testing.T) {
	calls := func(text string) map[kind.Kind]int {
		made := map[kind.Kind]int{}
		for _, st := range calls.Of(unfold(t, text), phrase.English()) {
			for _, c := range st.Calls {
				made[c.Kind]++
			}
		}
		return made
	}
	for length, want := range map[string]int{"4m": 1, "3m59s999ms": 0} {
		if got := calls("class: X\nunits: km/h\nmain: [{speed: 8, for: " + length + "}]\n")[kind.Halfway]; got != want {
			t.Errorf("a class of %s calls its half %d times, want %d", length, got, want)
		}
	}
	// The time left is no news within 10 s of the start.
	for length, want := range map[string]int{"70s": 2, "69s999ms": 1} {
		if got := calls("class: X\nunits: km/h\nmain: [{speed: 8, for: " + length + "}]\ncalls: {left: [60s, 30s]}\n")[kind.Left]; got != want {
			t.Errorf("a segment of %s calls %d times left, want %d", length, got, want)
		}
	}
	for incline, want := range map[string]bool{"2.9": false, "3": true} {
		climbs := false
		l := cues.Schedule(unfold(t, "class: X\nunits: km/h\nmain: [{speed: 8, incline: "+incline+", for: 9m}]\n"), phrase.English(), brisk())
		for _, q := range l.Cues {
			climbs = climbs || q.Text == "short steps up the hill"
		}
		if climbs != want {
			t.Errorf("an incline of %s %% is a climb: %v, want %v", incline, climbs, want)
		}
	}
}

// TestCallsOfAClass prints what could be said in the demo class, without a voice: each
// stretch, its calls with the window of each wording, what is counted, and the reminders.
func TestCallsOfAClass(t *testing.T) {
	p, _, err := plan.Load("../samples/harbour-steps.yaml")
	if err != nil {
		t.Fatal(err)
	}
	c, _ := class.Options{Level: class.Middle}.Unfold(p)
	var b strings.Builder
	for _, st := range calls.Of(c, phrase.English()) {
		fmt.Fprintf(&b, "%s for %s, from %v on, counts %v\n", units.FormatClock(st.Start), units.FormatLength(st.Length), st.First, st.Counts)
		for _, call := range st.Calls {
			for i, w := range call.Wordings {
				k := string(call.Kind)
				if i > 0 {
					k = ""
				}
				fmt.Fprintf(&b, "  %-8s %7s to %7s best %7s  %s\n", k, units.FormatClock(w.From), units.FormatClock(w.To), units.FormatClock(w.Prefer), w.Text)
			}
		}
		fmt.Fprintf(&b, "  %d reminders\n", len(st.Reminders))
	}
	golden.Compare(t, "../testdata/calls/harbour-steps-middle.txt", b.String())
}
