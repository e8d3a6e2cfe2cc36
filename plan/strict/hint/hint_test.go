package hint

import "testing"

// TestHints: what is written by mistake, and what is said to write in its place; nothing of what is right, or of what
// nobody can guess.
func TestHints(t *testing.T) {
	for _, c := range []struct {
		what      func(string) string
		text, say string
	}{
		{Number, "5,5", ": write 5.5, with a point"},
		{Number, "-2,5", ": write -2.5, with a point"},
		{Number, "12-14", ": a range is written [12, 14]"},
		{Number, "6:30 – 5:30", ": a range is written [6:30, 5:30]"},
		{Number, "5 %", ": write 5, without the sign"},
		{Number, "7.5 mph", ": write 7.5 alone, a plan has one unit, which stands in units"},
		{Number, "180 spm", ": write 180 alone, a plan has one unit, which stands in units"},
		{Number, "fast", ""},
		{Number, "5.5", ""},
		{Duration, "5 min", "write 5m"},
		{Duration, "5'", "write 5m"},
		{Duration, "2min30", "write 2m30s"},
		{Duration, `2'30"`, "write 2m30s"},
		{Duration, "90 sec", "write 90s"},
		{Duration, "1.5k", "write 1.5 km for a distance"},
		{Duration, "a while", ""},
		{func(s string) string { return Thousand(s, []string{"44100", "48000"}) }, "44.1", ": write 44100"},
		{func(s string) string { return Thousand(s, []string{"44100", "48000"}) }, "48 kHz", ": write 48000"},
		{func(s string) string { return Thousand(s, []string{"44100", "48000"}) }, "32", ""},
		{func(s string) string { return Comma(s, "5") }, "12", ": write 12.5, with a point"},
		{func(s string) string { return Comma(s, "5") }, "1m", ""},
		{func(s string) string { return Nearest(s, []string{"speed", "incline"}) }, "inclin", `: did you mean "incline"?`},
		{func(s string) string { return Nearest(s, []string{"speed", "incline"}) }, "gravity", ""},
		{func(s string) string { return Syntax(nil, s) }, "\twalk: {speed: 5}", ": the line begins with a tab, write spaces in its place"},
		{func(s string) string { return Syntax(nil, s) }, "class: Hills: two", `: a text with a colon stands in quotes, class: "Hills: two"`},
		{func(s string) string { return Syntax([]string{"main:\n", "  - speed: 5\n"}, s) }, "   for: 5m", ": write 4 spaces before it, so that it stands under the key above"},
		{func(s string) string { return Syntax([]string{"main:\n", "  - speed: 5\n"}, s) }, "    for: 5m", ""},
	} {
		if got := c.what(c.text); got != c.say {
			t.Errorf("%q: %q, want %q", c.text, got, c.say)
		}
	}
	if n, ok := Sign("+1.5"); !ok || n != "1.5" {
		t.Error(n, ok)
	}
	for _, text := range []string{"1", "-1", "+", "+a"} {
		if _, ok := Sign(text); ok {
			t.Errorf("%q has a plus and a number", text)
		}
	}
}
