package phrase

import (
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"cuewright/plan"
)

// TestNumbers says numbers as the issue of this project words them, and as
// Unicode CLDR's English rules (spellout-cardinal) spell them.
func TestNumbers(t *testing.T) {
	b := English()
	for tenths, want := range map[int64]string{
		0: "zero", 5: "zero point five", 55: "five point five", 70: "seven", 100: "ten", 110: "eleven", 125: "twelve point five",
		200: "twenty", 210: "twenty one", 990: "ninety nine", 999: "ninety nine point nine", -10: "minus one", -5: "minus zero point five",
	} {
		if got, ok := b.Number(tenths); !ok || got != want {
			t.Errorf("Number(%d) = %q, %v, want %q", tenths, got, ok, want)
		}
	}
	if got, ok := b.Number(1000); ok {
		t.Errorf("a hundred is said %q", got)
	}
}

func TestSpeeds(t *testing.T) {
	b := English()
	tests := []struct {
		units plan.Units
		r     plan.Range
		want  string
	}{
		{plan.KmH, plan.Range{Low: 55, High: 70}, "five point five to seven"},
		{plan.Mph, plan.Range{Low: 50, High: 50}, "five"},
		{plan.MinKm, plan.Range{Low: 330, High: 330}, "five thirty"},
		{plan.MinKm, plan.Range{Low: 360, High: 305}, "six flat to five oh five"},
		{plan.MinMile, plan.Range{Low: 615, High: 601}, "ten fifteen to ten oh one"},
	}
	for _, test := range tests {
		if got := b.Range(test.units, test.r); got != test.want {
			t.Errorf("%v %v: %q, want %q", test.units, test.r, got, test.want)
		}
	}
}

func TestTimes(t *testing.T) {
	b := English()
	for d, want := range map[time.Duration]string{
		time.Second: "one second", 10 * time.Second: "ten seconds", time.Minute: "one minute", 75 * time.Second: "seventy five seconds",
		90 * time.Second: "ninety seconds", 100 * time.Second: "one minute forty seconds", 2 * time.Minute: "two minutes",
		150 * time.Second: "two minutes thirty seconds", time.Hour: "one hour", 90 * time.Minute: "one hour thirty minutes",
		2*time.Hour + time.Second: "two hours one second",
	} {
		if got, ok := b.Time(d); !ok || got != want {
			t.Errorf("Time(%v) = %q, %v, want %q", d, got, ok, want)
		}
	}
	for _, d := range []time.Duration{0, -time.Second, 1500 * time.Millisecond, 100 * time.Hour} {
		if got, ok := b.Time(d); ok {
			t.Errorf("Time(%v) = %q", d, got)
		}
	}
}

// TestTimeIn finds every time of the book again inside a sentence.
func TestTimeIn(t *testing.T) {
	b := English()
	rapid.Check(t, func(t *rapid.T) {
		d := time.Duration(rapid.IntRange(1, 3600).Draw(t, "seconds")) * time.Second
		text, _ := b.Time(d)
		got, word, ok := b.TimeIn(Words("so in " + text + ", crest, incline five"))
		if !ok || got != d || word != 2 {
			t.Fatalf("TimeIn finds %v at word %d in %q, want %v at 2", got, word, text, d)
		}
	})
	if d, _, ok := b.TimeIn(Words("in sixty seconds, rise")); !ok || d != time.Minute {
		t.Errorf("sixty seconds are %v", d)
	}
	// No pace may be taken for a time, or the truth of a call could not be told.
	for s := plan.Speed(90); s < 3600; s++ {
		if d, _, ok := b.TimeIn(Words(b.Speed(plan.MinKm, s) + ", incline one")); ok {
			t.Fatalf("the pace %q is taken for a time of %v", b.Speed(plan.MinKm, s), d)
		}
	}
}

// TestChange calls only what changes.
func TestChange(t *testing.T) {
	b := English()
	flat := func(low, high plan.Speed) plan.Target { return plan.Target{Speed: plan.Range{Low: low, High: high}} }
	hill := func(speed plan.Speed, incline int64) plan.Target {
		return plan.Target{Speed: plan.Range{Low: speed, High: speed}, Incline: incline, Graded: true}
	}
	tests := []struct {
		units plan.Units
		from  plan.Target
		to    plan.Target
		want  string // full | needed | parts
	}{
		{plan.KmH, hill(80, 30), hill(80, 50), "incline five, keep your speed | incline five | incline five"},
		{plan.KmH, hill(80, 30), hill(95, 30), "speed nine point five, keep the incline | speed nine point five | speed nine point five"},
		{plan.KmH, hill(80, 30), hill(95, 0), "speed nine point five, incline zero | speed nine point five, incline zero | speed nine point five/incline zero"},
		{plan.KmH, hill(80, 30), hill(80, 30), "keep your speed and incline | keep your speed and incline | "},
		{plan.MinKm, flat(390, 315), flat(330, 300), "pace five thirty to five flat | pace five thirty to five flat | pace five thirty to five flat"},
		{plan.MinKm, flat(390, 315), flat(390, 315), "keep your pace | keep your pace | "},
	}
	for _, test := range tests {
		c := b.Change(test.units, &test.from, test.to)
		if got := c.Full + " | " + c.Needed + " | " + strings.Join(c.Parts, "/"); got != test.want {
			t.Errorf("%v to %v: %s, want %s", test.from, test.to, got, test.want)
		}
	}
	c := b.Change(plan.KmH, nil, hill(80, 30))
	if c.All != "speed eight, incline three" || len(c.Parts) != 2 {
		t.Errorf("at the start of a class: %+v", c)
	}
}

func TestWordings(t *testing.T) {
	b := English()
	got := b.Wordings("now", Slot{"effort", "rise", true}, Slot{"time", "ten seconds", false})
	if len(got) != 3 || got[0].Text != "rise, for ten seconds" || len(got[0].Names) != 1 || got[1].Text != "for ten seconds" || got[1].Rank != 1 {
		t.Errorf("wordings of now: %+v", got)
	}
	// An empty slot takes the wordings that need it away.
	got = b.Wordings("now", Slot{"effort", "", true}, Slot{"time", "ten seconds", false})
	if len(got) != 1 || got[0].Text != "for ten seconds" {
		t.Errorf("without a name: %+v", got)
	}
	// Every call has a wording without a name.
	for _, call := range sentenceKeys {
		slots := []Slot{{"time", "x", false}, {"changes", "x", false}, {"needed", "x", false}, {"targets", "x", false}, {"part", "x", false},
			{"set", "x", false}, {"sets", "x", false}, {"effort", "y", true}, {"class", "y", true}}
		free := false
		for _, w := range b.Wordings(call, slots...) {
			free = free || len(w.Names) == 0
		}
		if !free {
			t.Errorf("the call %q cannot be made without a name", call)
		}
	}
}

func TestBadBook(t *testing.T) {
	text := strings.Replace(string(english), "  halfway:", "  half:", 1)
	text = strings.Replace(text, "fits: [easy]", "fits: [lazy]", 1)
	text = strings.Replace(text, ", ninety nine]", "]", 1)
	_, problems := Read([]byte(text))
	var got []string
	for _, p := range problems {
		got = append(got, p.Message)
	}
	want := []string{"the numbers from 0 to 99 are expected, these are 99", `the sentences have no "halfway"`,
		`there is no call "half"`, `a reminder fits easy, work or climb, not "lazy"`}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("problems:\n%s\nwant:\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

func FuzzRead(f *testing.F) {
	f.Add(english)
	f.Add([]byte("language: en\nnumbers: {cardinals: [a]}\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		Read(data) // must not panic
	})
}
