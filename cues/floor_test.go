package cues_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"cuewright/cues"
	"cuewright/cues/check"
	"cuewright/cues/kind"
	"cuewright/cues/phrase"
	"cuewright/plan/problem"
)

// TestFloor: whatever the times, the way off the belt and back is called truly: stop before the change, back to the belt
// spin-up before its end, and then every number, also those that are as before.
func TestFloor(t *testing.T) {
	for _, tag := range phrase.Languages() {
		t.Run(tag, func(t *testing.T) {
			book, _ := phrase.ForLanguage(tag)
			rapid.Check(t, func(t *rapid.T) {
				spin := rapid.IntRange(20, 60).Draw(t, "spin-up")
				floor := spin + rapid.IntRange(10, 300).Draw(t, "floor")
				text := fmt.Sprintf("class: X\nunits: km/h\ncalls: {spin-up: %ds, ahead: %ds}\nefforts: {jog: {speed: 9, incline: 1}, mat: {role: floor}}\n"+
					"main: [{sets: 2, segments: [{effort: jog, for: 60s}, {effort: mat, for: %ds}]}, {effort: jog, for: 60s}, {effort: mat, for: 2m}, {effort: mat, for: 2m}]\n",
					spin, rapid.IntRange(10, 30).Draw(t, "ahead"), floor)
				c := unfold(t, text)
				l := cues.Schedule(c, book, brisk())
				for _, p := range append(check.List(l, brisk()), l.Problems...) {
					if p.Severity == problem.Error || p.Kind == check.Gap {
						t.Fatalf("%s%v", text, p)
					}
				}
				leave, back, on, end := sayings(book, "leave"), sayings(book, "return"), sayings(book, "floor"), sayings(book, "floor-end")
				for i := range c.Segments {
					s := &c.Segments[i]
					said := within(l, i)
					last := i+1 == len(c.Segments)
					toFloor := !last && c.Segments[i+1].Target.Floor
					called := slices.IndexFunc(said, func(q cues.Cue) bool { return q.Kind == kind.Return })
					ahead := slices.IndexFunc(said, func(q cues.Cue) bool { return q.Kind == kind.Ahead })
					if ahead < 0 {
						t.Fatalf("%snothing is said before %v ends", text, s.End())
					}
					warning := said[ahead].Text
					switch {
					case !s.Target.Floor && toFloor:
						if !begins(warning, leave) || called >= 0 {
							t.Fatalf("%sleft with %q", text, warning)
						}
					case s.Target.Floor && toFloor:
						if !begins(warning, on) || called >= 0 {
							t.Fatalf("%sfrom floor to floor with %q", text, warning)
						}
					case s.Target.Floor && last:
						if !begins(warning, end) || called >= 0 {
							t.Fatalf("%sended with %q", text, warning)
						}
					case s.Target.Floor:
						numbers := book.Change(c.Units, c.Step, nil, c.Segments[i+1].Target).All
						if called < 0 || called > ahead || !begins(said[called].Text, back) || !strings.Contains(warning, numbers) {
							t.Fatalf("%sback with %v", text, said)
						}
						if off := s.End() - time.Duration(spin)*time.Second - said[called].Start; off.Abs() > cues.Tolerance {
							t.Fatalf("%scalled back %v off", text, off)
						}
					}
					for _, q := range said {
						if s.Target.Floor && q.Kind == kind.Reminder {
							t.Fatalf("%sthe reminder %q off the belt", text, q.Text)
						}
					}
				}
				finish, floorFinish := sayings(book, "finish"), sayings(book, "floor-finish")
				if text := l.Cues[len(l.Cues)-1].Text; !begins(text, floorFinish) || slices.Contains(finish, text) {
					t.Fatalf("the class ends off the belt with %q", text)
				}
			})
		})
	}
}

// sayings are the longest texts without a slot in each wording of a sentence: what tells it from others.
func sayings(b *phrase.Book, key string) []string {
	texts, _ := b.Sentences.Get(key)
	var out []string
	for _, t := range texts {
		longest := ""
		for _, part := range strings.FieldsFunc(strings.NewReplacer("{time}", "|", "{effort}", "|").Replace(t.Value), func(r rune) bool { return r == '|' }) {
			if len(part) > len(longest) {
				longest = part
			}
		}
		out = append(out, longest)
	}
	return out
}

// begins reports whether a text has one of some sayings in it.
func begins(text string, sayings []string) bool {
	return slices.ContainsFunc(sayings, func(s string) bool { return strings.Contains(text, s) })
}

// within are the sentences of a segment.
func within(l *cues.List, i int) (out []cues.Cue) {
	for _, q := range l.Cues {
		if q.Segment == i && q.Lane == cues.Speech {
			out = append(out, q)
		}
	}
	return out
}

// TestCountOfOneChange: words for one change, beeps for another, whatever the plan counts with.
func TestCountOfOneChange(t *testing.T) {
	c := unfold(t, `class: X
units: km/h
calls: {count: {with: words}}
main:
  - {speed: 8, for: 30s, calls: {count: {with: beeps}}}
  - {speed: 9, for: 30s}
  - {speed: 10, for: 30s, calls: {count: {with: both, from: 3}}}
`)
	l := cues.Schedule(c, phrase.English(), brisk())
	got := map[time.Duration]string{}
	for _, q := range l.Cues {
		if q.Lane != cues.CountLane {
			continue
		}
		change := q.Mark
		for change%(30*time.Second) != 0 {
			change += time.Second
		}
		how := "b"
		if len(q.Clips) > 0 {
			how = "w"
			if q.End() >= q.Mark+cues.ShortTone && !q.Long && q.End()-q.Mark == q.Length-90*time.Millisecond {
				how = "W"
			}
		}
		got[change] += how
	}
	want := map[time.Duration]string{0: "bbbbbb", 30 * time.Second: "WWWWWw", 60 * time.Second: "WWWw", 90 * time.Second: "WWWWWw"}
	if fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("counted %v, want %v", got, want)
	}
}

// TestOutline: the longest sets of the main part, in one sentence, with their time where all last the same.
func TestOutline(t *testing.T) {
	for main, want := range map[string]string{
		"[{sets: 4, segments: [{speed: 9, for: 2m}], between: [{speed: 7, for: 1m}]}]":                                   "four sets, two minutes each",
		"[{name: hills, sets: 4, segments: [{speed: 9, for: 2m}]}, {sets: 2, segments: [{speed: 9, for: 3m}]}]":          "hills, four sets, two minutes each",
		"[{sets: 3, segments: [{speed: 9, for: 2m, each: {for: +10s}}]}]":                                                "three sets",
		"[{sets: 2, segments: [{sets: 5, segments: [{speed: 9, for: 1m}]}], between: [{speed: 7, for: 3m}]}]":            "two sets, five minutes each",
		"[{speed: 9, for: 1h}, {sets: 2, segments: [{speed: 9, for: 30s}]}, {sets: 1, segments: [{speed: 9, for: 9m}]}]": "two sets, thirty seconds each",
	} {
		c := unfold(t, "class: X\nunits: km/h\nopening: {outline: short}\ncalls: {opening: 40s}\nmain: "+main+"\n")
		var said []string
		for _, q := range cues.Schedule(c, phrase.English(), brisk()).Cues {
			if q.Kind == kind.Welcome {
				said = append(said, q.Text)
			}
		}
		if len(said) != 2 || said[1] != want {
			t.Errorf("%s: %q, want %q", main, said, want)
		}
	}
}
