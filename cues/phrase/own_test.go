package phrase

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"gopkg.in/yaml.v3"

	"cuewright/audio/words"
	"cuewright/cues/kind"
	"cuewright/plan/problem"
	"cuewright/plan/strict"
)

// problemLines writes problems as the command does, without the file.
func problemLines(problems []problem.Problem) string {
	var out strings.Builder
	for _, p := range problems {
		fmt.Fprintf(&out, "%d:%d: %s\n", p.Line, p.Column, p.Message)
	}
	return out.String()
}

// voiceBook is the book of a voice.yaml without a problem.
func voiceBook(t *testing.T, text string) *Book {
	t.Helper()
	b, _, problems := ForVoice("voice.yaml", []byte(text))
	if len(problems) > 0 {
		t.Fatalf("%s\n%s", text, problemLines(problems))
	}
	return b
}

// TestVoiceOfALanguage takes the shared book where nothing is a voice's own.
func TestVoiceOfALanguage(t *testing.T) {
	for text, tag := range map[string]string{
		"": "en", "# nothing\n": "en", "---\n~\n": "en", "{}": "en",
		"language: de\n": "de",
	} {
		want, _ := ForLanguage(tag)
		if b := voiceBook(t, text); b != want {
			t.Errorf("%q is not the shared book of %s", text, tag)
		}
	}
	if b, _, problems := ForVoice("voice.yaml", nil); b != English() || len(problems) > 0 {
		t.Errorf("without a voice.yaml: %v", problems)
	}
	// What recordings speak is kept with the words of the language.
	named := voiceBook(t, "language: de\nfiles: {a.wav: jetzt}\n")
	german, _ := ForLanguage("de")
	if page(named) != page(german) || len(named.Recordings.Keys) != 1 || named.Recordings.Items[0].Value != "jetzt" {
		t.Errorf("the names of recordings are %v", named.Recordings)
	}
	// The tag stays as it is written: who speaks is a matter of the country.
	b := voiceBook(t, "language: en-GB\n")
	if b.Language.Value != "en-GB" || page(b) != strings.Replace(page(English()), `"en"`, `"en-GB"`, 1) {
		t.Errorf("the book of en-GB is %q", b.Language.Value)
	}
}

// TestOwnWords replaces what is given and nothing else.
func TestOwnWords(t *testing.T) {
	b := voiceBook(t, `language: fr-CH
files: {memo 1.wav: plus vite}
numbers:
  decimal: "{whole} point {tenth}"
  feminine: {1: une, 21: vingt-et-une}
times:
  minute: une petite minute
targets: {incline: "inclinaison {incline}"}
parts: {main: le plat de résistance}
sentences:
  left: ["plus que {time}"]
  last:
    - la toute dernière, la série {set}
    - dernière
reminders:
  - {text: souris, fits: [easy, climb]}
`)
	french, _ := ForLanguage("fr")
	if b.File != "voice.yaml" || b.Sentences.Pos.Line != 11 {
		t.Errorf("own words stand in %q, line %d", b.File, b.Sentences.Pos.Line)
	}
	time := func(d time.Duration) string { text, _ := b.Time(d); return text }
	number, _ := b.Number(215)
	left := b.Wordings("left", Slot{"time", "x", false})
	last := b.Wordings("last", Slot{"set", "trois", false}, Slot{"sets", "trois", false})
	for got, want := range map[string]string{
		number:                                 "vingt-et-un point cinq",
		time(21e9):                             "vingt-et-une secondes",
		time(31e9):                             "trente-et-un secondes", // his table, his word
		time(100e9):                            "une petite minute quarante secondes",
		b.Targets.Incline.Value:                "inclinaison {incline}",
		b.Targets.Speed.Value:                  french.Targets.Speed.Value,
		b.Parts.Main.Value:                     "le plat de résistance",
		b.Parts.WarmUp.Value:                   french.Parts.WarmUp.Value,
		b.Mark():                               "top",
		fmt.Sprintln(len(left), left[0].Text):  "1 plus que x\n",
		fmt.Sprintln(len(last), last[0].Text):  "2 la toute dernière, la série trois\n",
		fmt.Sprint(len(b.Reminders)):           "1",
		fmt.Sprint(len(b.Wordings("halfway"))): "2",
		fmt.Sprint(len(b.Numbers.Cardinals)):   "100",
	} {
		if got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
	if page(french) != source(t, "testdata/fr.txt") {
		t.Error("the book of French has changed")
	}
	if b := voiceBook(t, "reminders: []\n"); len(b.Reminders) != 0 {
		t.Errorf("no reminders are wished, there are %d", len(b.Reminders))
	}
}

// TestOwnKeys gives each key of each table of the fullest book by itself, and all
// of every book in a language there is none for: what is said stays as it is.
func TestOwnKeys(t *testing.T) {
	for tag, l := range builtIn {
		want := page(l.book())
		text := source(t, l.file)
		var tables map[string]map[string]yaml.Node
		_ = yaml.Unmarshal([]byte(text), &tables) // language and reminders are no tables
		keys := 0
		for table, all := range tables {
			if tag != "es" {
				break // all are read by the same code
			}
			for key, value := range all {
				keys++
				data, err := yaml.Marshal(map[string]any{"language": tag, table: map[string]yaml.Node{key: value}})
				if err != nil {
					t.Fatal(err)
				}
				if b := voiceBook(t, string(data)); b == l.book() || page(b) != want {
					t.Errorf("%s: %s of %s does not replace itself", tag, key, table)
				}
			}
		}
		if tag == "es" && keys != 56 {
			t.Errorf("%d keys were tried", keys)
		}
		text = strings.Replace(text, "language: "+tag, "language: nds", 1)
		if got := page(voiceBook(t, text)); got != strings.Replace(want, `"`+tag+`"`, `"nds"`, 1) {
			t.Errorf("the book of %s as that of nds says:\n%s", tag, got)
		}
	}
}

// TestBadVoice says of each fault where it is and what is accepted.
func TestBadVoice(t *testing.T) {
	const accepted = "language, files, numbers, times, targets, sentences, parts, reminders"
	calls := "welcome, outline, safety, first, ahead, end, leave, floor, floor-end, return, confirm, repeat, now, now-part, left, set, set-outer, last, last-here, halfway, finish, floor-finish, mark"
	tests := []struct{ text, want string }{
		{"langauge: de\n", `1:1: unknown key "langauge": did you mean "language"? Accepted here: ` + accepted},
		{"language: de\nsentence: {}\n", `2:1: unknown key "sentence": did you mean "sentences"? Accepted here: ` + accepted},
		{"sentences:\n  last: [final]\n  lats: [x]\n", `3:3: there is no call "lats": did you mean "last"? Accepted: ` + calls},
		{"sentences:\n  left: ['{tme} to go']\n", `2:10: "left" has no slot {tme}: did you mean "time"? Accepted: time`},
		{"sentences: {finish: ['bye {class}']}\n", `1:22: "finish" has no slots, {class} would not be filled`},
		{"sentences: {halfway: []}\n", `1:13: "halfway" has no wording, at least one is expected`},
		{"sentences: {halfway: half}\n", `1:22: a list is expected here (lines beginning with "- "), not "half": write [half]`},
		{"sentences: {ahead: [get ready]}\n", `1:21: "ahead" needs the slot {changes} or {needed}`},
		{"sentences: {welcome: ['this is {class}']}\n", `1:13: "welcome" needs a wording without {class}, for a voice that does not know the name`},
		{"numbers: {decimal: '{whole} dot'}\n", `1:20: "decimal" needs the slot {tenth}`},
		{"numbers: {cardinals: [zero, one]}\n", `1:23: the numbers from 0 to 99 are expected, these are 2`},
		{"numbers: {cardinals: []}\n", `1:22: the list "cardinals" is empty, at least one item is expected`},
		{"numbers: {feminine: {01: una, 100: cien, x: '-'}}\n", `1:22: "01" is no number from 0 to 99` + "\n" +
			`1:31: "100" is no number from 0 to 99` + "\n" + `1:42: "x" is no number from 0 to 99` + "\n" + `1:45: there is no word in "-"`},
		{"times: {second: '{number} second'}\n", `1:17: "second" has no slots, {number} would not be filled`},
		{"targets: {sped: fast}\n", `1:11: unknown key "sped": did you mean "speed"? Accepted here: ` +
			"speed, pace, incline, downhill, keep-speed, keep-pace, keep-incline, keep-all, keep-all-pace, feel, keep-feel, keep-all-feel, step-up, step-up-pace"},
		{"parts: [a]\n", `1:8: keys with values are expected here, not a list`},
		{"reminders: [{text: breathe, fits: [hard]}, {text: smile}, {text: 'go {effort}', fits: []}]\n",
			`1:36: a reminder fits easy, work or climb, not "hard"` + "\n" + `1:44: the key "fits" is missing: easy, work or climb` + "\n" +
				`1:66: "text" has no slots, {effort} would not be filled` + "\n" + `1:87: the list "fits" is empty, at least one item is expected`},
		// What could not be told apart by ear, or by the check of what is true.
		{"numbers: {pace-flat: '{minutes} minutes'}\n", `1:10: the pace 2:00 is said "two minutes", which is the time 2m0s`},
		{"numbers: {pace-under-ten: '{minutes} {seconds}', pace-flat: '{minutes}'}\n", `1:10: the pace 21:00 is said like 20:01: "twenty one"`},
		{"times:\n  minutes: '{number} seconds'\n", `2:3: 2s is said "two seconds", which is not understood as that`},
		{"numbers: {negative: '{number}'}\n", `1:10: 0.1 is said like -0.1: "zero point one"`},
		// Languages without a book.
		{"language: sv\n", `1:11: there is no sentence book for "sv", there are: de, en, es, fr. In another language give all words here; ` +
			`still missing: numbers, times, targets, sentences, parts, reminders`},
		{"language: sv\nparts: {warm-up: a, main: b}\nreminders: []\n", `1:11: there is no sentence book for "sv", there are: de, en, es, fr. ` +
			`In another language give all words here; still missing: numbers, times, targets, sentences` + "\n" +
			`2:8: the key "cool-down" is missing: the cool-down`},
		{"language: [de]\n", `1:11: a text is expected here, not a list`},
		{"language: de\nlanguage: fr\n", `2:1: the key "language" stands already in line 1`},
		{"just text\n", `1:1: keys with values are expected here, not "just text"`},
		{"a: b: c\n", `1:1: not readable as YAML: mapping values are not allowed in this context: a text with a colon stands in quotes, a: "b: c"`},
		{strings.Repeat("#", strict.MaxSize+1), `1:1: the file has 1048577 bytes, at most 1048576 are read`},
	}
	for _, test := range tests {
		b, _, problems := ForVoice("voice.yaml", []byte(test.text))
		got := strings.TrimSuffix(problemLines(problems), "\n")
		if got != test.want {
			t.Errorf("%.200s\n%s\nwant:\n%s", test.text, got, test.want)
		}
		if want, _ := ForLanguage(b.Language.Value); b != want {
			t.Errorf("%.200s: a faulty book is given out", test.text)
		}
	}
}

// FuzzForVoice: whatever voice.yaml holds, its faults have a place, and a book
// without any can word every call.
func FuzzForVoice(f *testing.F) {
	for _, l := range builtIn {
		f.Add([]byte(source(f, l.file)))
	}
	f.Add([]byte("language: de-AT\nfiles: {a.wav: b}\nsentences: {last: [letzte], now: ['{effort}', 'los']}\n"))
	f.Add([]byte("numbers: {decimal: '{whole} dot {tenth}', feminine: {1: a}}\nreminders: []\n"))
	f.Add([]byte("times: {and: and, minute: a minute, minutes: '{masculine} minutes'}\n"))
	f.Add([]byte("language: sv\nparts: {main: b, <<: *a}\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		b, _, problems := ForVoice("voice.yaml", data)
		for _, p := range problems {
			if !p.IsSet() || p.Column < 1 || p.Message == "" {
				t.Errorf("no place: %v", p)
			}
		}
		for _, call := range kind.Sentences() {
			nameless := false
			for _, w := range b.Wordings(call.Key, fixed()...) {
				nameless = nameless || len(w.Names) == 0
			}
			if !nameless {
				t.Errorf("no wording of %q", call.Key)
			}
		}
		for s := time.Second; s <= time.Hour; s += 59 * time.Second {
			text, ok := b.Time(s)
			if d, _, found := b.TimeIn(words.Of(text)); !ok || !found || d != s {
				t.Errorf("%v is said %q, which is %v", s, text, d)
			}
		}
	})
}
