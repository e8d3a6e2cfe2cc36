package strict_test

import (
	"fmt"
	"reflect"
	"strings"
	"testing"
	"time"

	"cuewright/plan/problem"
	"cuewright/plan/strict"
	"cuewright/plan/strict/hint"
)

// A recipe has each kind of value.
type recipe struct {
	Name  strict.Text         `key:"name,required" doc:"what it is called"`
	For   strict.Duration     `key:"for" in:"3s..10m" doc:"how long"`
	Steep strict.Tenths       `key:"steep" in:"-1.5..4" what:"an incline of"`
	Times strict.Integer      `key:"times" in:"1..10"`
	Rate  strict.Integer      `key:"rate" one-of:"16 24"`
	How   strict.Choice[how]  `key:"how" one-of:"slow fast"`
	Left  []strict.Duration   `key:"left" in:"5s..1m"`
	Words strict.Map[recipe2] `key:"words"`
}

type recipe2 struct {
	Pos problem.Pos
	Say strict.Text `key:"say"`
}

type how string

// read reads a recipe and returns what is wrong with it, a line each.
func read(text string) (recipe, string) {
	var to recipe
	r := strict.Reader{File: "x.yaml", Kind: problem.Plan}
	strict.Decode([]byte(text), &to, &r)
	var out []string
	for _, p := range r.Problems() {
		out = append(out, fmt.Sprintf("%d:%d: %s", p.Line, p.Column, p.Message))
	}
	return to, strings.Join(out, "\n")
}

func Example() {
	type class struct {
		Name strict.Text     `key:"name,required" doc:"what it is called"`
		For  strict.Duration `key:"for" in:"3s..10m" doc:"how long it lasts"`
	}
	var c class
	r := strict.Reader{File: "low-tide.yaml", Kind: problem.Plan}
	strict.Decode([]byte("name: Low Tide\nfor: 11m\nfro: 1m\n"), &c, &r)
	for _, p := range r.Problems() {
		fmt.Println(p)
	}
	// Output:
	// low-tide.yaml:2:6: error: 11m is outside 3s to 10m
	// low-tide.yaml:3:1: error: unknown key "fro": did you mean "for"? Accepted here: name, for
}

// TestBounds has each bound from both sides.
func TestBounds(t *testing.T) {
	for text, want := range map[string]string{
		"for: 3s": "", "for: 10m": "", "for: 2999ms": "2:6: 2999ms is outside 3s to 10m", "for: 10m0.001s": "2:6: 10m0.001s is outside 3s to 10m",
		"steep: -1.5": "", "steep: 4": "", "steep: -1.6": "2:8: an incline of -1.6 is outside -1.5 to 4", "steep: 4.1": "2:8: an incline of 4.1 is outside -1.5 to 4",
		"times: 1": "", "times: 10": "", "times: 0": "2:8: the value 0 is outside 1 to 10", "times: 11": "2:8: the value 11 is outside 1 to 10",
		"rate: 24": "", "rate: 20": "2:7: 20 is not accepted here, only 16, 24",
		"how: slow": "", "how: slwo": `2:6: "slwo" is not known here: did you mean "slow"? Accepted: slow, fast`,
		"left: [5s, 1m]": "", "left: [5s, 61s, 4s]": "2:12: 61s is outside 5s to 1m\n2:17: 4s is outside 5s to 1m",
		"words: {a: {say: b}}": "", "words: {a: {sey: b}}": `2:13: unknown key "sey": did you mean "say"? Accepted here: say`,
	} {
		if _, got := read("name: x\n" + text + "\n"); got != want {
			t.Errorf("%s:\n%s\nwant\n%s", text, got, want)
		}
	}
	got, _ := read("name: x\nhow: fast\nleft: [10s]\ntimes: 3\nsteep: 2.5\n")
	if got.How.Value != "fast" || got.Left[0].Value != 10*time.Second || got.Times.Value != 3 || got.Steep.Value != 25 || got.Steep.Pos.Line != 5 {
		t.Errorf("%+v", got)
	}
}

// TestSchemaOfBounds: what the tags say stands in the schema.
func TestSchemaOfBounds(t *testing.T) {
	properties := strict.Schema(reflect.TypeFor[recipe]())["properties"].(map[string]any)
	got := fmt.Sprint(properties["for"], properties["steep"], properties["times"], properties["rate"], properties["how"], properties["left"])
	for _, want := range []string{"$comment:from 3s to 10m", "x-maximum:10m x-minimum:3s", "maximum:4 minimum:-1.5 type:number", "maximum:10 minimum:1 type:integer",
		"enum:[16 24]", "enum:[slow fast]", "x-maximum:1m x-minimum:5s] type:array"} {
		if !strings.Contains(got, want) {
			t.Errorf("no %q in %s", want, got)
		}
	}
}

// TestSuggest: a third of a word may be mistyped, and no more.
func TestSuggest(t *testing.T) {
	for word, want := range map[string]string{
		"recoevry": "recovery", "recvry": "recovery", // 1 swap, 2 letters of 6
		"rcvry": "", // 3 of 5
		"spd":   "", "spead": "speed", "sp": "", "cadenec": "cadence", "cdnece": "cadence", "dnce": "",
	} {
		got := hint.Nearest(word, []string{"speed", "recovery", "cadence"})
		if want != "" {
			want = fmt.Sprintf(": did you mean %q?", want)
		}
		if got != want {
			t.Errorf("%s: %q, want %q", word, got, want)
		}
	}
}

// brokenFiles are files that are no YAML, with the line that makes them so.
var brokenFiles = []struct {
	name, text string
	line       int
}{
	{"a colon in a value", "a: b: c\n", 1},
	{"a colon in a later value", "name: x\nsay: go: now\nend: y\n", 2},
	{"a list that is not closed", "name: x\nleft: [1m, 30s\n", 2},
	{"a list that is not closed, and more", "name: x\nleft: [1m, 30s\nend: y\n", 2},
	{"a mapping that is not closed", "name: x\ntrack: {rate: 48000\nend: y\n", 2},
	{"a quote that is not closed", "name: \"x\nend: y\n", 1},
	{"a single quote that is not closed", "name: x\nsay: 'go\nend: y\n", 2},
	{"a tab before a key", "name: x\ncalls:\n\tahead: 20s\nend: y\n", 3},
	{"a key too far out", "main:\n    - a: 1\n  b: 2\nend: y\n", 3},
	{"a key too far in", "main:\n  a: 1\n    b: 2\nend: y\n", 3},
	{"a list item too far out", "main:\n   - a: 1\n  - b: 2\nend: y\n", 3},
	{"a key among list items", "main:\n  - a: 1\n  b: 2\nend: y\n", 3},
	{"an item among keys", "calls:\n  ahead: 20s\n  - left\nend: y\n", 3},
	{"no colon", "name: x\ncalls:\n  ahead\n  left: 3\nend: y\n", 4},
	{"a bracket too many", "name: x\nleft: [1m]]\nend: y\n", 2},
	{"a brace too many", "name: x\ntrack: {rate: 1}}\nend: y\n", 2},
	{"an unknown escape", "name: x\nsay: \"a\\qb\"\nend: y\n", 2},
	{"a reserved letter", "name: x\nsay: @home\nend: y\n", 2},
	{"a stray percent", "name: x\nsay: %\nend: y\n", 2},
	{"a comma missing", "name: x\ntrack: {rate: 1 bits: 2}\nend: y\n", 2},
	{"text after a quoted value", "name: x\nsay: \"go\" now\nend: y\n", 2},
	{"a control character", "name: x\nsay: a\x01b\nend: y\n", 2},
	{"text behind the end", "name: x\n...\n}}}\n", 3},
	{"an alias without a name", "name: x\nsay: *\nend: y\n", 2},
}

// TestBrokenFiles: an error of syntax names the line that is wrong, wherever it stands in
// the file, with line ends of either kind.
func TestBrokenFiles(t *testing.T) {
	if len(brokenFiles) < 20 {
		t.Fatal("only", len(brokenFiles), "files")
	}
	for _, f := range brokenFiles {
		for _, before := range []int{0, 1, 7, 400} {
			good := ""
			for i := range before {
				good += fmt.Sprintf("k%d: [a,\n  b]\n", i)
			}
			want := f.line + strings.Count(good, "\n")
			for _, text := range []string{good + f.text, strings.ReplaceAll(good+f.text, "\n", "\r\n")} {
				_, got := read(text)
				first, _, _ := strings.Cut(got, "\n")
				if !strings.HasPrefix(first, fmt.Sprintf("%d:1: not readable as YAML: ", want)) {
					t.Errorf("%s, %d lines before: %q, want line %d", f.name, before, first, want)
				}
			}
		}
	}
}

// FuzzDecode: whatever a file holds, each problem has a place in it.
func FuzzDecode(f *testing.F) {
	for _, b := range brokenFiles {
		f.Add([]byte(b.text))
	}
	f.Add([]byte("\r\r0"))
	f.Add([]byte("name: x\nfor: 1m\nleft: [5s]\nwords: {a: {say: b}}\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		var to recipe
		r := strict.Reader{File: "x.yaml", Kind: problem.Plan}
		strict.Decode(data, &to, &r)
		lines := 1 // YAML counts all of these
		for _, end := range []string{"\n", "\r", "\u0085", "\u2028", "\u2029"} {
			lines += strings.Count(string(data), end)
		}
		for _, p := range r.Problems() {
			if p.Line < 1 || p.Line > lines+1 || p.Column < 1 || p.Message == "" {
				t.Errorf("%+v in %d lines", p, lines)
			}
		}
	})
}
