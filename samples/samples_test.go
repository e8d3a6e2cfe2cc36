package samples_test

import (
	"io/fs"
	"os"
	"slices"
	"strings"
	"testing"

	"cuewright/audio/words"
	"cuewright/cues/phrase"
	"cuewright/plan"
	"cuewright/plan/class"
	"cuewright/plan/class/advise"
	"cuewright/plan/units"
	"cuewright/samples"
)

// phrases are the lines of voice.txt, takes among them, without their spellings.
func phrases(t *testing.T) []string {
	t.Helper()
	data, err := os.ReadFile("voice.txt")
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for line := range strings.Lines(string(data)) {
		line = strings.TrimSpace(line)
		if line == "" || line[0] == '#' {
			continue
		}
		text, _, _ := strings.Cut(line, " = ")
		out = append(out, text)
	}
	return out
}

// The built-in voice has a recording for every line of voice.txt and nothing else.
func TestVoiceIsTheList(t *testing.T) {
	want := []string{"voice.yaml"}
	for _, p := range phrases(t) {
		want = append(want, strings.ReplaceAll(p, " ", "-")+".flac")
	}
	var got []string
	entries, err := fs.ReadDir(samples.Voice(), ".")
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		got = append(got, e.Name())
		data, err := fs.ReadFile(samples.Voice(), e.Name())
		if err != nil {
			t.Error(err)
		}
		if strings.HasSuffix(e.Name(), ".flac") && !strings.HasPrefix(string(data), "fLaC") {
			t.Errorf("%s is no FLAC file", e.Name())
		}
	}
	slices.Sort(want)
	slices.Sort(got)
	for _, name := range want {
		if !slices.Contains(got, name) {
			t.Errorf("%s is not there: run make-voice.sh", name)
		}
	}
	for _, name := range got {
		if !slices.Contains(want, name) {
			t.Errorf("%s stands for no line of voice.txt", name)
		}
	}
	if len(slices.Compact(want)) != len(phrases(t))+1 {
		t.Error("voice.txt has a line twice")
	}
}

// sayable reports whether recordings cover the words of a text.
func sayable(text string, recorded map[string]bool) bool {
	words := words.Of(text)
	reached := make([]bool, len(words)+1)
	reached[0] = true
	for i := range words {
		for j := i + 1; j <= len(words) && reached[i]; j++ {
			if recorded[strings.Join(words[i:j], " ")] {
				reached[j] = true
			}
		}
	}
	return reached[len(words)]
}

// The demo voice says every default sentence with every number a plan can hold.
func TestVoiceSaysTheBook(t *testing.T) {
	recorded := map[string]bool{}
	for _, p := range phrases(t) {
		recorded[strings.TrimSuffix(p, ".2")] = true
	}
	say := func(text string) {
		t.Helper()
		if len(words.Of(text)) == 0 || !sayable(text, recorded) {
			t.Errorf("the demo voice cannot say %q", text)
		}
	}
	book := phrase.English()

	// Between the slots of a wording the voice starts afresh, so each piece
	// must be sayable by itself.
	pieces := func(text string) {
		t.Helper()
		for i, piece := range strings.Split(text, "{") {
			if i > 0 {
				_, piece, _ = strings.Cut(piece, "}")
			}
			if len(words.Of(piece)) > 0 {
				say(piece)
			}
		}
	}
	for _, call := range book.Sentences.Keys {
		wordings, _ := book.Sentences.Get(call.Value)
		for _, w := range wordings {
			pieces(w.Value)
		}
	}
	n, tm, tg := book.Numbers, book.Times, book.Targets
	forms := append(slices.Clone(n.Cardinals), n.Decimal, n.Negative, n.Range, n.Pace, n.PaceUnderTen, n.PaceFlat)
	forms = append(forms, tm.Second, tm.Seconds, tm.Minute, tm.Minutes, tm.Hour, tm.Hours)
	forms = append(forms, tg.Speed, tg.Pace, tg.Incline, tg.KeepSpeed, tg.KeepPace, tg.KeepIncline, tg.KeepAll, tg.KeepAllPace,
		tg.Feel, tg.KeepFeel, tg.KeepAllFeel, tg.StepUp, tg.StepUpPace)
	forms = append(forms, book.Parts.WarmUp, book.Parts.Main, book.Parts.CoolDown)
	for _, form := range forms {
		pieces(form.Value)
	}

	for tenths := int64(-150); tenths <= 400; tenths++ { // inclines, and speeds within them
		text, ok := book.Number(tenths)
		if !ok {
			t.Fatalf("%d tenths cannot be worded", tenths)
		}
		say(text)
	}
	for seconds := units.Speed(90); seconds < 3600; seconds++ {
		say(book.Speed(units.MinMile, seconds))
	}
	for _, r := range book.Reminders {
		if !recorded[r.Text.Value] {
			t.Errorf("the reminder %q is not recorded whole", r.Text.Value)
		}
	}
}

// The demo plans are whole classes without a problem, not even advice, and the
// demo voice knows every name and sentence in them.
func TestPlans(t *testing.T) {
	recorded := map[string]bool{}
	for _, p := range phrases(t) {
		recorded[p] = true
	}
	want := []string{"harbour-steps", "lantern-mile"}
	if got := samples.Plans(); !slices.Equal(got, want) {
		t.Errorf("Plans: %q, %q expected", got, want)
	}
	for _, name := range samples.Plans() {
		data, err := samples.Plan(name)
		if err != nil {
			t.Fatal(err)
		}
		p, problems := plan.Read(name+".yaml", data)
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		c, problems := class.Unfold(p)
		for _, bad := range append(problems, advise.Class(c)...) {
			t.Error(bad)
		}
		texts := []string{c.Plan.Class.Value}
		for _, s := range c.Segments {
			texts = append(texts, s.Effort)
			for _, said := range s.FixedCues {
				texts = append(texts, said.Text)
			}
		}
		for _, text := range texts {
			if !sayable(text, recorded) {
				t.Errorf("%s: the demo voice cannot say %q", name, text)
			}
		}
	}
	if _, err := samples.Plan("no-such-plan"); err == nil {
		t.Error("a plan that is not there was read")
	}
}
