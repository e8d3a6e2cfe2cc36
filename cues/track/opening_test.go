package track

import (
	"fmt"
	"slices"
	"testing"

	"cuewright/cues/check"
	"cuewright/cues/kind"
	"cuewright/cues/phrase"
	"cuewright/plan"
	"cuewright/plan/class"
	"cuewright/plan/problem"
	"cuewright/plan/settings"
	"cuewright/plan/units"
)

// TestOpening: in every unit, with the longest numbers it has, the first
// targets, the safety line and the count fit the default opening in the demo voice.
func TestOpening(t *testing.T) {
	for units, speed := range map[string]string{
		"km/h":     "[13.5, 17.5]",
		"mph":      "[7.5, 11.7]",
		"min/km":   `["17:57", "13:37"]`,
		"min/mile": `["27:57", "23:37"]`,
	} {
		p, problems := plan.Read("x.yaml", fmt.Appendf(nil,
			"class: Harbour Steps\nunits: %s\nefforts:\n  stroll: {speed: %s, incline: 11.5}\nmain: [{effort: stroll, for: 60s}]\n", units, speed))
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		c, _ := class.Unfold(p)
		s := demoSpeaker(t, p.Track)
		l := s.Schedule(c, phrase.English())
		var kinds []kind.Kind
		for _, q := range l.Cues {
			if q.Start < 0 {
				kinds = append(kinds, q.Kind)
			}
		}
		for _, k := range []kind.Kind{kind.Safety, kind.Ahead} {
			if !slices.Contains(kinds, k) {
				t.Errorf("%s: the opening has only %v", units, kinds)
			}
		}
		if n := len(slices.DeleteFunc(kinds, func(k kind.Kind) bool { return k != kind.Count })); n != 5 {
			t.Errorf("%s: the opening counts %d seconds", units, n)
		}
		if found := check.List(l, s); problem.HasErrors(found) {
			t.Errorf("%s: %v", units, found)
		}
	}
}

// TestDemoSaysEverything: no number that a plan can hold leaves the demo voice
// without words for a change.
func TestDemoSaysEverything(t *testing.T) {
	b := phrase.English()
	s := demoSpeaker(t, demoTrack(t))
	say := func(text string) {
		if _, missing := s.Voice.Speak(text); len(missing) > 0 {
			t.Fatalf("%q lacks %q", text, missing)
		}
	}
	for v := units.Speed(3); v <= 400; v++ {
		say(b.Speed(units.KmH, v))
	}
	for v := units.Speed(90); v < 3600; v++ {
		say(b.Speed(units.MinKm, v))
	}
	for incline := int64(-150); incline <= 400; incline++ {
		say(b.Change(units.KmH, 0, nil, class.Target{Speed: units.Range{Low: 50, High: 70}, Incline: incline, HasIncline: true}).All)
	}
}

func demoTrack(t *testing.T) settings.Track {
	p, problems := plan.Read("x.yaml", []byte("class: X\nunits: km/h\nmain: [{speed: 5, for: 30s}]\n"))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	return p.Track
}
