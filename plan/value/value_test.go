package value_test

import (
	"testing"

	"gopkg.in/yaml.v3"

	"cuewright/plan/strict"
	"cuewright/plan/units"
	"cuewright/plan/value"
)

// read decodes one value; the text is what is wrong with it, "" where nothing is.
func read(t *testing.T, text string, into any) string {
	t.Helper()
	var doc yaml.Node
	if err := yaml.Unmarshal([]byte(text), &doc); err != nil {
		t.Fatal(err)
	}
	r := new(strict.Reader)
	r.Decode(doc.Content[0], into)
	if p := r.Problems(); len(p) > 0 {
		return p[0].Message
	}
	return ""
}

// TestExtent reads times, distances and the remainder.
func TestExtent(t *testing.T) {
	for text, want := range map[string]value.Extent{
		"90s": {Value: 90e9}, "1h40m": {Value: 6000e9}, "90m": {Value: 5400e9},
		"400 metres": {Distance: 400_000, Text: "400 metres"}, "400meters": {Distance: 400_000, Text: "400meters"},
		"1.5 km": {Distance: 1_500_000, Text: "1.5 km"}, "0.25 mi": {Distance: 402_336, Text: "0.25 mi"}, "1 mile": {Distance: 1_609_344, Text: "1 mile"},
		"remainder": {Remainder: true},
	} {
		var got value.Extent
		if wrong := read(t, text, &got); wrong != "" {
			t.Errorf("%s: %s", text, wrong)
		}
		got.Pos = want.Pos
		if got != want {
			t.Errorf("%s is %+v, want %+v", text, got, want)
		}
	}
	for text, want := range map[string]string{
		"91m":     "91m would be 91 minutes: write 91 metres for a distance, or 1h31m for so long a time",
		"5 m":     `"5 m" can be read in two ways: write 5 metres for a distance, or 5m for minutes`,
		"9 km":    "",
		"1 metre": "1 metre is outside 10 metres to 100 km",
	} {
		if got := read(t, text, new(value.Extent)); got != want {
			t.Errorf("%s: %q, want %q", text, got, want)
		}
	}
}

// TestSetChoice: numbers, a list, and the words.
func TestSetChoice(t *testing.T) {
	for text, want := range map[string][]int{"2": {2}, "last": {5}, "[2, 4]": {2, 4}, "odd": {1, 3, 5}, "even": {2, 4}} {
		var choice value.SetChoice
		if wrong := read(t, text, &choice); wrong != "" {
			t.Fatal(text, wrong)
		}
		var got []int
		for set := 1; set <= 5; set++ {
			if choice.Has(set, 5) {
				got = append(got, set)
			}
		}
		if len(got) != len(want) || got[0] != want[0] {
			t.Errorf("%s is %v of 5 sets, want %v", text, got, want)
		}
	}
	if !new(value.SetChoice).Has(3, 5) {
		t.Error("where nothing is chosen a set is left out")
	}
}

// TestSpeedsOfAnotherUnit are converted exactly, and rounded once: 12 km/h is 5:00 min/km, 5 mph 7:27.4.
func TestSpeedsOfAnotherUnit(t *testing.T) {
	for _, c := range []struct {
		text     string
		own      units.Unit
		in       units.Unit
		want     string
		workedUp bool
	}{
		{"12", units.KmH, units.MinKm, "5:00", true},
		{"5", units.Mph, units.MinKm, "7:27", true},
		{`"4:00"`, units.MinKm, units.KmH, "15", true},
		{"[8, 12]", units.KmH, units.KmH, "8–12", false},
	} {
		var s value.Speeds
		if wrong := read(t, c.text, &s); wrong != "" {
			t.Fatal(wrong)
		}
		s.Own = c.own
		got := c.in.FormatRange(s.In(c.in, new(value.Paces)).Rounded())
		if got != c.want || s.WorkedOut(c.in) != c.workedUp {
			t.Errorf("%s %s is %s %s, want %s; worked out: %v", c.text, c.own, got, c.in, c.want, s.WorkedOut(c.in))
		}
	}
}
