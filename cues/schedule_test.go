package cues_test

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"cuewright/audio/words"
	"cuewright/cues"
	"cuewright/cues/check"
	"cuewright/cues/kind"
	"cuewright/cues/phrase"
	"cuewright/plan"
	"cuewright/plan/class"
	"cuewright/plan/problem"
)

// fake is a voice made of arithmetic: every letter takes as long as any other.
type fake struct {
	letter  time.Duration
	unknown map[string]bool // words it has no recording of
	takes   int
}

func (f *fake) Measure(text string) (cues.Spoken, []string) {
	s := cues.Spoken{Words: words.Of(text), Beat: 90 * time.Millisecond}
	var missing []string
	for _, w := range s.Words {
		s.When = append(s.When, cues.Span{From: s.Length, To: s.Length})
		s.Length += f.letter*time.Duration(len(w)) + 60*time.Millisecond
		if f.unknown[w] {
			missing = append(missing, w)
		}
	}
	return s, missing
}

func (f *fake) Select(text string) cues.Takes {
	f.takes++
	s, _ := f.Measure(text)
	return cues.Takes{Length: s.Length, Beat: s.Beat, Clips: []string{fmt.Sprint("take ", f.takes)}}
}

// brisk speaks about 165 words a minute.
func brisk() *fake { return &fake{letter: 65 * time.Millisecond} }

func unfold(t interface{ Fatal(...any) }, text string) *class.Class {
	p, problems := plan.Read("x.yaml", []byte(text))
	if len(problems) > 0 {
		t.Fatal(text, problems)
	}
	c, _ := class.Unfold(p)
	return c
}

// say lists the calls of one segment as "kind: text", the count left out.
func said(l *cues.List, segment int) []string {
	var out []string
	for _, c := range l.Cues {
		if c.Segment == segment && c.Lane == cues.Speech {
			out = append(out, fmt.Sprintf("%s %s", c.Kind, c.Text))
		}
	}
	return out
}

const hills = `class: Harbour Steps
units: km/h
efforts:
  even: {speed: [7.5, 10], incline: 1}
  rise: {speed: [8, 11], incline: 3}
  crest: {speed: [8, 11], incline: 5}
warm-up:
  - {effort: even, for: 5m}
main:
  - sets: 2
    segments:
      - {effort: rise, for: 75s}
      - {effort: crest, for: 45s, say: [{at: 20s, text: look up, set: last}]}
    between:
      - {effort: even, for: 2m}
cool-down:
  - {effort: even, for: 5m}
`

// TestCalls reads like the class it makes: what is called in each segment, in order.
func TestCalls(t *testing.T) {
	l := cues.Schedule(unfold(t, hills), phrase.English(), brisk())
	want := map[int]string{
		1: "confirm speed eight to eleven, incline three; now main part. rise, for one minute fifteen seconds; set set one of two; left thirty seconds left; " +
			"ahead in twenty seconds, crest, incline five, keep your speed; left ten seconds left",
		2: "confirm incline five; now crest, for forty five seconds; " +
			"ahead in twenty seconds, even, speed seven point five to ten, incline one; left ten seconds left",
		4: "confirm speed eight to eleven, incline three; now rise, for one minute fifteen seconds; last last set; left thirty seconds left; " +
			"ahead in twenty seconds, crest, incline five, keep your speed; left ten seconds left",
	}
	for segment, w := range want {
		if got := strings.Join(said(l, segment), "; "); got != w {
			t.Errorf("segment %d:\n%s\nwant\n%s", segment, got, w)
		}
	}
	if got := strings.Join(said(l, 5), "; "); !strings.Contains(got, "say look up") {
		t.Errorf("the plan's own sentence is missing in the last set: %s", got)
	}
	if found := check.List(l, brisk()); len(found) > 0 {
		t.Error(found)
	}
}

// TestTimeline pins times: the warning starts 20 s ahead, time left is called on
// the second, the count is one a second and ends on the change.
func TestTimeline(t *testing.T) {
	l := cues.Schedule(unfold(t, hills), phrase.English(), brisk())
	change := l.Class.Segments[2].Start // 6:15
	var marks []time.Duration
	for _, c := range l.Cues {
		if c.Segment != 1 {
			continue
		}
		switch {
		case c.Lane == cues.CountLane:
			marks = append(marks, c.Mark-change)
			if c.Start != c.Mark {
				t.Errorf("a beep starts %v off its mark", c.Start-c.Mark)
			}
		case c.Kind == kind.Ahead && c.Start != change-20*time.Second:
			t.Errorf("the warning starts %v before the change", change-c.Start)
		case c.Kind == kind.Left && (change-c.Start)%(10*time.Second) != 0:
			t.Errorf("%q starts %v before the change", c.Text, change-c.Start)
		}
	}
	if got, want := fmt.Sprint(marks), "[-5s -4s -3s -2s -1s 0s]"; got != want {
		t.Errorf("counted at %s, want %s", got, want)
	}
}

// TestShortSegments: ten seconds degrade sensibly, the published protocols of
// very short work and rest need no error.
func TestShortSegments(t *testing.T) {
	for _, file := range []string{"tabata", "helgerud-15-15", "helgerud-4x4", "bruce", "five-sets"} {
		p, problems, err := plan.Load("../testdata/plans/good/" + file + ".yaml")
		if err != nil || len(problems) > 0 {
			t.Fatal(err, problems)
		}
		c, _ := class.Unfold(p)
		l := cues.Schedule(c, phrase.English(), brisk())
		for _, p := range check.List(l, brisk()) {
			t.Errorf("%s: %v", file, p)
		}
	}
	// Three seconds leave room for a warning, but then for less than three seconds of
	// count; the error names the segment.
	c := unfold(t, "class: X\nunits: km/h\nmain: [{speed: 8, for: 1m}, {speed: 10, for: 3s}, {speed: 8, for: 1m}]\n")
	var kinds []string
	for _, p := range check.List(cues.Schedule(c, phrase.English(), brisk()), brisk()) {
		kinds = append(kinds, string(p.Kind))
		if !strings.Contains(p.Message, "segment 3 of 3") {
			t.Errorf("the segment is not named: %v", p)
		}
	}
	if want := []string{"uncounted"}; !slices.Equal(kinds, want) {
		t.Errorf("problems %v, want %v", kinds, want)
	}
}

// TestCountGivesWay: where a count from five leaves no room for the numbers, it
// begins at three.
func TestCountGivesWay(t *testing.T) {
	slow := &fake{letter: 90 * time.Millisecond}
	c := unfold(t, "class: X\nunits: km/h\nmain: [{speed: 8, for: 1m}, {speed: 10, for: 7s}, {speed: 8, for: 1m}]\n")
	l := cues.Schedule(c, phrase.English(), slow)
	var counted []string
	for _, c := range l.Cues {
		if c.Lane == cues.CountLane && c.Segment == 1 {
			counted = append(counted, c.Text)
		}
	}
	if got := strings.Join(counted, " "); got != "three two one now" {
		t.Errorf("counted %q", got)
	}
	if found := check.List(l, slow); problem.HasErrors(found) {
		t.Error(found)
	}
}

// TestUnsaidNames: a voice that does not know the names calls without them, and
// says so once for each.
func TestUnsaidNames(t *testing.T) {
	v := brisk()
	v.unknown = map[string]bool{"rise": true, "harbour": true, "shoulders": true}
	l := cues.Schedule(unfold(t, hills), phrase.English(), v)
	var got []string
	for _, p := range l.Problems {
		got = append(got, fmt.Sprintf("%s %s %d", p.Severity, p.Kind, p.Line))
	}
	if want := []string{"warning unsaid-name 1", "warning unsaid-name 5"}; !slices.Equal(got, want) {
		t.Errorf("problems %v, want %v", got, want)
	}
	for _, c := range l.Cues {
		if _, missing := v.Measure(c.Text); len(missing) > 0 {
			t.Errorf("%q is called, which cannot be said", c.Text)
		}
	}
	if found := check.List(l, v); len(found) > 0 {
		t.Error(found)
	}
}

// TestUnrecorded: what no wording can do without is an error, what only pleases
// is left out with a warning; the list is complete all the same.
func TestUnrecorded(t *testing.T) {
	v := brisk()
	v.unknown = map[string]bool{"incline": true, "welcome": true}
	l := cues.Schedule(unfold(t, hills), phrase.English(), v)
	var got []string
	for _, p := range l.Problems {
		got = append(got, fmt.Sprintf("%s %s", p.Severity, string(p.Kind)))
	}
	if want := []string{"warning left-out", "error unrecorded"}; !slices.Equal(got, want) {
		t.Errorf("problems %v, want %v", l.Problems, want)
	}
	if found := check.List(l, v); len(found) > 0 {
		t.Error(found)
	}
}

// TestReminders: after at least 25 s and each time another silence, no text again within 8 minutes, and none where the plan
// asks for none.
func TestReminders(t *testing.T) {
	c := unfold(t, "class: X\nunits: km/h\nmain: [{speed: 8, for: 10m}]\n")
	l := cues.Schedule(c, phrase.English(), brisk())
	var last *cues.Cue
	reminders := 0
	said, waits := map[string]time.Duration{}, map[time.Duration]bool{}
	for i := range l.Cues {
		c := &l.Cues[i]
		if c.Kind == kind.Reminder {
			reminders++
			if pause := c.Start - last.End(); pause < 25*time.Second {
				t.Errorf("%q comes after %v", c.Text, pause)
			} else {
				waits[pause.Round(2*time.Second)] = true
			}
			if at, ok := said[c.Text]; ok && c.Start-at < 8*time.Minute {
				t.Errorf("%q is said again after %v", c.Text, c.Start-at)
			}
			said[c.Text] = c.Start
		}
		last = c
	}
	if reminders < 5 || len(waits) < reminders/2 {
		t.Errorf("%d reminders in ten minutes, after silences of %v", reminders, waits)
	}
	c = unfold(t, "class: X\nunits: km/h\nmain: [{speed: 8, for: 10m}]\ncalls: {reminders: 0s}\n")
	for _, cue := range cues.Schedule(c, phrase.English(), brisk()).Cues {
		if cue.Kind == kind.Reminder {
			t.Errorf("%q although the plan wants none", cue.Text)
		}
	}
}

// drawPlan draws any plan a coach might write, sensible or not.
func drawPlan(t *rapid.T) string {
	units := rapid.SampledFrom([]string{"km/h", "mph", "min/km", "min/mile"}).Draw(t, "units")
	graded := rapid.Bool().Draw(t, "graded")
	speed := func() string {
		if strings.HasPrefix(units, "min") {
			a := rapid.IntRange(240, 900).Draw(t, "pace")
			b := rapid.IntRange(240, a).Draw(t, "faster")
			return fmt.Sprintf("[\"%d:%02d\", \"%d:%02d\"]", a/60, a%60, b/60, b%60)
		}
		a := rapid.IntRange(30, 150).Draw(t, "speed")
		b := rapid.IntRange(a, 150).Draw(t, "faster")
		return fmt.Sprintf("[%d.%d, %d.%d]", a/10, a%10, b/10, b%10)
	}
	text := "class: Harbour Steps\nunits: " + units + "\nefforts:\n"
	for _, name := range []string{"even", "rise", "crest"} {
		text += "  " + name + ": {speed: " + speed()
		if graded {
			i := rapid.IntRange(0, 150).Draw(t, "incline")
			text += fmt.Sprintf(", incline: %d.%d", i/10, i%10)
		}
		text += "}\n"
	}
	sets := 0 // around the segment that is drawn
	segment := func() string {
		ms := rapid.OneOf(rapid.IntRange(3000, 30000), rapid.IntRange(3000, 300000)).Draw(t, "ms")
		s := fmt.Sprintf("{effort: %s, for: %dms", rapid.SampledFrom([]string{"even", "rise", "crest"}).Draw(t, "effort"), ms)
		if rapid.IntRange(0, 3).Draw(t, "says") == 0 {
			s += fmt.Sprintf(", say: [{at: %dms, text: look up and breathe}]", rapid.IntRange(0, ms-1).Draw(t, "at"))
		}
		switch own := rapid.IntRange(0, 5).Draw(t, "own"); {
		case own == 0 && sets > 1:
			s += fmt.Sprintf(", each: {for: +%dms}", rapid.IntRange(1, 5000).Draw(t, "more"))
		case own == 1:
			s += fmt.Sprintf(", calls: {left: [%ds], reminders: %ds, ahead: %ds, count: {from: %d}}", rapid.IntRange(5, 60).Draw(t, "left"),
				rapid.IntRange(0, 40).Draw(t, "reminders"), rapid.IntRange(5, 40).Draw(t, "ahead"), rapid.IntRange(1, 10).Draw(t, "from"))
		}
		return s + "}"
	}
	text += "main:\n"
	for range rapid.IntRange(1, 3).Draw(t, "items") {
		if rapid.Bool().Draw(t, "block") {
			sets = rapid.IntRange(2, 3).Draw(t, "sets")
			outer, first := sets, segment()
			if rapid.IntRange(0, 2).Draw(t, "sets in sets") == 0 {
				sets = 2
				first = fmt.Sprintf("{sets: 2, segments: [%s]}", segment())
			}
			sets = outer
			text += fmt.Sprintf("  - sets: %d\n    segments: [%s, %s]\n", outer, first, segment())
			sets = 0
		} else {
			text += "  - " + segment() + "\n"
		}
	}
	text += fmt.Sprintf("calls: {opening: %ds, ahead: %ds, count: {from: %d, with: %s}}\n", rapid.IntRange(12, 40).Draw(t, "opening"),
		rapid.IntRange(5, 40).Draw(t, "ahead"), rapid.IntRange(1, 10).Draw(t, "from"),
		rapid.SampledFrom([]string{"beeps", "words", "both"}).Draw(t, "with"))
	return text
}

// TestPromises proves on random plans what a list promises: nothing overlaps,
// nothing crosses a change, what is said about time is true, and every change is
// warned of and counted, or an error says that it is not. It judges by itself,
// not through the check; the check has to agree.
func TestPromises(t *testing.T) {
	book := phrase.English()
	rapid.Check(t, func(t *rapid.T) {
		c := unfold(t, drawPlan(t))
		v := &fake{letter: time.Duration(rapid.IntRange(40, 110).Draw(t, "letter")) * time.Millisecond}
		l := cues.Schedule(c, book, v)
		walls := []time.Duration{-c.Opening}
		for _, s := range c.Segments {
			walls = append(walls, s.Start)
		}
		walls = append(walls, c.Length, c.Length+c.Closing)

		confirmed, warned, counted := map[time.Duration]bool{}, map[time.Duration]bool{}, map[time.Duration]int{}
		for i := range l.Cues {
			a := &l.Cues[i]
			for j := range l.Cues {
				b := &l.Cues[j]
				if i != j && a.Lane == cues.Speech && a.Start < b.End() && b.Start < a.End() {
					t.Fatalf("%q at %v and %q at %v overlap", a.Text, a.Start, b.Text, b.Start)
				}
			}
			k := 0
			for walls[k+1] <= a.Start {
				k++
			}
			wall := walls[k+1]
			if a.Lane == cues.CountLane {
				if a.Long {
					wall = a.Mark
				}
				counted[wall]++
				continue
			}
			if a.Start < walls[0] || a.End() > wall {
				t.Fatalf("%q from %v to %v crosses %v", a.Text, a.Start, a.End(), wall)
			}
			if a.Kind == kind.Confirm {
				confirmed[walls[k]] = true
			}
			if a.Kind == kind.Ahead {
				warned[wall] = true
			}
			if n, word, ok := book.TimeIn(words.Of(a.Text)); ok && (a.Kind == kind.Ahead || a.Kind == kind.Left) {
				spoken, _ := v.Measure(a.Text)
				if off := wall - a.Start - spoken.When[word].From - n; off > time.Second || off < -time.Second {
					t.Fatalf("%q at %v is %v from the truth", a.Text, a.Start, off)
				}
			}
		}
		errors := map[problem.Kind]map[time.Duration]bool{"unwarned": {}, "uncounted": {}, "unconfirmed": {}}
		for _, p := range check.List(l, v) {
			switch p.Kind {
			case "unwarned", "uncounted", "unconfirmed":
				errors[p.Kind][p.At] = true
			case "gap", "late":
			default:
				t.Fatalf("the check finds %v", p)
			}
		}
		for i, wall := range walls[1 : len(walls)-1] {
			changes := i == len(c.Segments) || i == 0 || c.Segments[i].Target != c.Segments[i-1].Target
			if changes && warned[wall] == errors["unwarned"][wall] {
				t.Fatalf("the change at %v: warned of %v, error %v", wall, warned[wall], errors["unwarned"][wall])
			}
			if i < len(c.Segments) && changes && c.Segments[i].Length >= 12*time.Second && confirmed[wall] == errors["unconfirmed"][wall] {
				t.Fatalf("the change at %v: confirmed %v, error %v", wall, confirmed[wall], errors["unconfirmed"][wall])
			}
			// The mark itself is one of those counted.
			enough := counted[wall]-1 >= min(3, c.Into(i-1).Count.From.Value)
			if enough == errors["uncounted"][wall] {
				t.Fatalf("the change at %v: counted %d, error %v", wall, counted[wall], errors["uncounted"][wall])
			}
		}
		again := cues.Schedule(c, book, &fake{letter: v.letter})
		if !reflect.DeepEqual(l.Cues, again.Cues) {
			t.Fatal("the same class gives two lists")
		}
	})
}

// TestPlacedIsTrue: the list of a plan, taken for one that was edited, holds nothing
// untrue, in any language and at any level.
func TestPlacedIsTrue(t *testing.T) {
	var books []*phrase.Book
	for _, language := range phrase.Languages() {
		book, _ := phrase.ForLanguage(language)
		books = append(books, book)
	}
	rapid.Check(t, func(t *rapid.T) {
		p, found := plan.Read("plan.yaml", []byte(drawPlan(t)))
		if problem.HasErrors(found) {
			t.Fatal(found)
		}
		level := rapid.SampledFrom(append([]class.Level{class.NoLevel}, class.Levels...)).Draw(t, "level")
		c, _ := class.Options{Level: level}.Unfold(p)
		v := &fake{letter: time.Duration(rapid.IntRange(40, 110).Draw(t, "letter")) * time.Millisecond}
		l := cues.Schedule(c, books[rapid.IntRange(0, len(books)-1).Draw(t, "book")], v)
		before := check.List(l, v)
		for i := range l.Cues {
			l.Cues[i].File = "list.csv"
		}
		// Problems of the plan and those of the list now stand in different files, and in another order.
		for _, p := range check.List(l, v) {
			if !slices.ContainsFunc(before, func(x problem.Problem) bool { return p.Kind == x.Kind && p.Message == x.Message && p.At == x.At }) {
				t.Fatalf("taken for an edited list: %v", p)
			}
		}
	})
}

// BenchmarkSchedule places the longest class a plan may hold.
func BenchmarkSchedule(b *testing.B) {
	c := unfold(b, "class: X\nunits: km/h\nmain: [{sets: 5000, segments: [{speed: 8, for: 4s}, {speed: 9, for: 4s}]}]\n")
	for b.Loop() {
		cues.Schedule(c, phrase.English(), brisk())
	}
}
