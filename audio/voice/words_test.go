package voice

import (
	"cuewright/audio/words"
	"slices"
	"strings"
	"testing"
	"time"
)

func TestPauses(t *testing.T) {
	const comma, stop = PauseComma, PauseStop
	for in, want := range map[string][]time.Duration{
		"a b":               {0, 0},
		", a":               {0},
		"a, b: c; d":        {0, comma, comma, comma},
		"a. b! c? d… e":     {0, stop, stop, stop, stop},
		"a,. b":             {0, stop},
		"Set 2. Speed 5.5.": {0, 0, stop, 0},
	} {
		var got []time.Duration
		for _, w := range split(in) {
			got = append(got, w.pause)
		}
		if !slices.Equal(got, want) {
			t.Errorf("%q: %v, want %v", in, got, want)
		}
	}
}

func TestSpokenBy(t *testing.T) {
	for file, want := range map[string]struct {
		text string
		take int
	}{
		"speed.wav":            {"speed", 1},
		"five-point-five.mp3":  {"five point five", 1},
		"lift_your knees.FLAC": {"lift your knees", 1},
		"go.2.wav":             {"go", 2},
		"GO.03.WAV":            {"go", 3},
		"10.wav":               {"10", 1},
		"10.2.wav":             {"10", 2},
		"don't stop.wav":       {"dont stop", 1},
		"--.wav":               {"", 1},
		"a.b.wav":              {"a b", 1},
		"e\u0301.wav":          {"\u00e9", 1},
	} {
		if text, take := spokenBy(file); text != want.text || take != want.take {
			t.Errorf("%s: %q take %d, want %q take %d", file, text, take, want.text, want.take)
		}
	}
}

// Folding is the same whether a text is folded once or again, so that texts
// reported to the coach lead back to the same recording.
func FuzzNames(f *testing.F) {
	for _, s := range []string{"five-point-five.wav", "go.2.wav", "don’t.mp3", "E\u0301.flac", "5'.5", "a\u200d\u0301.wav", "İ.wav", ".2.wav", "Σ.σ.ς.wav", "\xf7\u037e"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, name string) {
		text, take := spokenBy(name)
		if take < 0 || strings.ContainsAny(text, "'’_-\t\n") || text != strings.TrimSpace(text) || strings.Contains(text, "  ") {
			t.Errorf("%q: %q take %d", name, text, take)
		}
		if again := words.Fold(text); again != text {
			t.Errorf("%q folds to %q, that to %q", name, text, again)
		}
		if n := len(words.Of(text)); text != "" && n != 1+strings.Count(text, " ") {
			t.Errorf("%q: %d words", text, n)
		}
	})
}
