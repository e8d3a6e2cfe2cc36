package phrase

import (
	"os"
	"strings"
	"testing"
	"time"

	"cuewright/plan/class"
	"cuewright/plan/units"
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
		units units.Unit
		r     units.Range
		want  string
	}{
		{units.KmH, units.Range{Low: 55, High: 70}, "five point five to seven"},
		{units.Mph, units.Range{Low: 50, High: 50}, "five"},
		{units.MinKm, units.Range{Low: 330, High: 330}, "five thirty"},
		{units.MinKm, units.Range{Low: 360, High: 305}, "six flat to five oh five"},
		{units.MinMile, units.Range{Low: 615, High: 601}, "ten fifteen to ten oh one"},
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
		time.Second: "one second", 10 * time.Second: "ten seconds", time.Minute: "one minute", 75 * time.Second: "one minute fifteen seconds",
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

// TestChange calls only what changes.
func TestChange(t *testing.T) {
	b := English()
	flat := func(low, high units.Speed) class.Target {
		return class.Target{Speed: units.Range{Low: low, High: high}}
	}
	hill := func(speed units.Speed, incline int64) class.Target {
		return class.Target{Speed: units.Range{Low: speed, High: speed}, Incline: incline, HasIncline: true}
	}
	felt := func(tenths int64) class.Target {
		return class.Target{ByFeel: true, RPE: units.RPE{Low: tenths, High: tenths}}
	}
	tests := []struct {
		units units.Unit
		step  units.Speed
		from  class.Target
		to    class.Target
		want  string // full | needed | parts
	}{
		{units.KmH, 0, hill(80, 30), hill(80, 50), "incline five, keep your speed | incline five | incline five"},
		{units.KmH, 0, hill(80, 30), hill(95, 30), "speed nine point five, keep the incline | speed nine point five | speed nine point five"},
		{units.KmH, 0, hill(80, 30), hill(95, 0), "speed nine point five, incline zero | speed nine point five, incline zero | speed nine point five/incline zero"},
		{units.KmH, 0, hill(80, 30), hill(80, 30), "keep your speed and incline | keep your speed and incline | "},
		{units.MinKm, 0, flat(390, 315), flat(330, 300), "pace five thirty to five flat | pace five thirty to five flat | pace five thirty to five flat"},
		{units.MinKm, 0, flat(390, 315), flat(390, 315), "keep your pace | keep your pace | "},
		// One step of the machine, up only, and only from one number to one number.
		{units.KmH, 5, hill(80, 30), hill(85, 30), "speed eight point five, up one step, keep the incline | speed eight point five | speed eight point five"},
		{units.KmH, 5, hill(85, 30), hill(80, 50), "speed eight, incline five | speed eight, incline five | speed eight/incline five"},
		{units.KmH, 5, hill(80, 30), hill(90, 30), "speed nine, keep the incline | speed nine | speed nine"},
		{units.KmH, 1, flat(80, 80), flat(81, 82), "speed eight point one to eight point two | speed eight point one to eight point two | speed eight point one to eight point two"},
		{units.KmH, 0, flat(80, 80), flat(81, 81), "speed eight point one | speed eight point one | speed eight point one"},
		{units.MinKm, 5, flat(390, 390), flat(385, 385), "pace six twenty five, one step faster | pace six twenty five | pace six twenty five"},
		{units.MinKm, 5, flat(385, 385), flat(390, 390), "pace six thirty | pace six thirty | pace six thirty"},
		{units.KmH, 1, felt(70), felt(75), "effort seven point five out of ten | effort seven point five out of ten | effort seven point five out of ten"},
		{units.KmH, 1, felt(70), felt(70), "keep the effort | keep the effort | "},
		// Felt nought is a target, not the lack of one.
		{units.KmH, 1, flat(0, 0), felt(0), "effort zero out of ten | effort zero out of ten | effort zero out of ten"},
		{units.KmH, 1, felt(70), flat(80, 80), "speed eight | speed eight | speed eight"},
	}
	for _, test := range tests {
		c := b.Change(test.units, test.step, &test.from, test.to)
		if got := c.Full + " | " + c.Needed + " | " + strings.Join(c.Parts, "/"); got != test.want {
			t.Errorf("%v to %v: %s, want %s", test.from, test.to, got, test.want)
		}
	}
	c := b.Change(units.KmH, 0, nil, hill(80, 30))
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
}

func source(t testing.TB, file string) string {
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// TestBadBook finds everything that is wrong with a book.
func TestBadBook(t *testing.T) {
	text := source(t, "english.yaml")
	for _, change := range [][2]string{
		{"  halfway:", "  half way:"},
		{"fits: [easy]", "fits: [lazy]"},
		{", ninety nine]", "]"},
		{"twelve, thirteen", "twelve, Twelve"},
		{"{whole} point {tenth}", "{whole} point {tenths}"},
		{"{number} seconds", "seconds"},
		{"keep your pace\n", "keep {speed}\n"},
		{"    - next, {needed}\n", "    - get ready\n"},
		{"    - for {time}\n    - \"{effort}\"\n", ""},
		{"last set", "last {"},
	} {
		if !strings.Contains(text, change[0]) {
			t.Fatalf("the book of English has no %q", change[0])
		}
		text = strings.Replace(text, change[0], change[1], 1)
	}
	_, problems := Read([]byte(text))
	var got []string
	for _, p := range problems {
		if !p.IsSet() {
			t.Errorf("no place: %s", p.Message)
		}
		got = append(got, p.Message)
	}
	want := []string{
		"the numbers from 0 to 99 are expected, these are 99",
		`13 is said like 12: "Twelve"`,
		`"decimal" has no slot {tenths}: did you mean "tenth"? Accepted: whole, tenth`,
		`"decimal" needs the slot {tenth}`,
		`"seconds" needs the slot {number} or {masculine} or {feminine}`,
		`"keep-pace" has no slots, {speed} would not be filled`,
		`the sentences have no "halfway"`,
		`"ahead" needs the slot {changes} or {needed}`,
		`"now" needs a wording without {effort}, for a voice that does not know the name`,
		"a slot is a name in braces like {time}, this is half of one",
		`there is no call "half way": did you mean "halfway"? Accepted: ` +
			"welcome, outline, safety, first, ahead, end, leave, floor, floor-end, return, confirm, repeat, now, now-part, left, set, set-outer, last, last-here, halfway, finish, floor-finish, mark",
		`a reminder fits easy, work or climb, not "lazy"`,
	}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("problems:\n%s\nwant:\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

func FuzzRead(f *testing.F) {
	for _, l := range builtIn {
		f.Add([]byte(source(f, l.file)))
	}
	f.Add([]byte("language: en\nnumbers: {cardinals: [a]}\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		_, problems := Read(data) // must not panic
		for _, p := range problems {
			if !p.IsSet() {
				t.Errorf("no place: %s", p.Message)
			}
		}
	})
}
