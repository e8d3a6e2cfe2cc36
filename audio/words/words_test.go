package words

import (
	"strings"
	"testing"
)

// TestOf cuts texts as recordings and sentences alike are cut.
func TestOf(t *testing.T) {
	for in, want := range map[string]string{
		"Speed, five to SEVEN.":         "speed|five|to|seven",
		"warm-up":                       "warm|up",
		"lift_your_knees":               "lift|your|knees",
		"don't, don’t":                  "dont|dont",
		"you‘re (here) “now”":           "youre|here|now",
		"E\u0301te\u0301 – a\u030a":     "\u00e9t\u00e9|\u00e5",
		"l'arre\u0302t":                 "larrêt", // e and circumflex apart
		"5.5 at 1:30, 1,000. 5. 6":      "5.5|at|1:30|1,000|5|6",
		"5 %: 5%":                       "5|%|5%",
		"incline 5.5 %":                 "incline|5.5|%",
		"at 1:30 go":                    "at|1:30|go",
		"rock&roll":                     "rock&roll",
		"12,5 km/h":                     "12,5|km|h",
		"so\u00adft\u2011hy\u200bphens": "soft|hyphens",
		"vingt-et-une secondes":         "vingt|et|une|secondes",
		"¿veintid\u00f3s?":              "veintidós",
		" \t\n":                         "",
		"...":                           "",
		"ПЛЮС":                          "плюс",
	} {
		if got := strings.Join(Of(in), "|"); got != want {
			t.Errorf("Of(%q) = %q, want %q", in, got, want)
		}
	}
}

// TestFind finds a run of words in a text.
func TestFind(t *testing.T) {
	for _, x := range []struct {
		text, part string
		want       int
	}{
		{"in ten seconds left", "ten seconds", 1}, {"ten", "ten", 0}, {"ten seconds", "ten seconds left", -1},
		{"five point five", "five", 0}, {"five point five", "point six", -1}, {"a", "", 0},
	} {
		if got := Find(Of(x.text), Of(x.part)); got != x.want {
			t.Errorf("%q in %q: %d, want %d", x.part, x.text, got, x.want)
		}
	}
}
