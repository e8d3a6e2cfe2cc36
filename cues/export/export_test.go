package export_test

import (
	"bytes"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"cuewright/cues"
	"cuewright/cues/export"
	"cuewright/cues/kind"
	"cuewright/plan"
	"cuewright/plan/class"
	"cuewright/plan/problem"
)

// list makes a list of cues at the given milliseconds of a track of 44.1 kHz.
func list(t interface{ Fatal(...any) }, title string, texts []string, starts []int) *cues.List {
	p, problems := plan.Read("x.yaml", []byte("class: "+strconv.Quote(title)+"\nunits: min/km\ntrack: {rate: 44100}\nmain: [{speed: [\"6:30\", \"5:15\"], for: 10m}]\n"))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	c, _ := class.Unfold(p)
	l := &cues.List{Title: title, Class: c}
	for i, text := range texts {
		l.Cues = append(l.Cues, cues.Cue{Start: time.Duration(starts[i])*time.Millisecond - c.Opening, Length: time.Duration(i) * time.Microsecond,
			Lane: cues.Speech, Kind: kind.Say, Text: text})
	}
	return l
}

// TestJSON holds the JSON form against its published schema.
func TestJSON(t *testing.T) {
	file, err := os.Open("../../testdata/list.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	doc, err := jsonschema.UnmarshalJSON(file)
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("list.schema.json", doc); err != nil {
		t.Fatal(err)
	}
	schema, err := c.Compile("list.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	l := list(t, "X", []string{"<one>", "two"}, []int{5000, 9000})
	var out bytes.Buffer
	if err := export.JSON(&out, l, []problem.Problem{{Severity: problem.Warning, Kind: "gap", File: "x.yaml", Timed: true, At: time.Second, Message: "m"}}); err != nil {
		t.Fatal(err)
	}
	v, err := jsonschema.UnmarshalJSON(bytes.NewReader(out.Bytes()))
	if err != nil {
		t.Fatal(err)
	}
	if err := schema.Validate(v); err != nil {
		t.Error(err)
	}
	for _, want := range []string{`"frames": 27694800`, `"at": 926100`, `390,`, `"<one>"`} { // 628 s, 21 s, 6:30 in seconds, unescaped
		if !strings.Contains(out.String(), want) {
			t.Errorf("%s is missing in\n%s", want, out.String())
		}
	}
}

// TestRounding: milliseconds are rounded from the frames of the track, half up,
// as testdata/reference/captions/sample_to_webvtt.csv works out.
func TestRounding(t *testing.T) {
	for frame, want := range map[int64]int64{0: 0, 22: 0, 23: 1, 66150: 1500, 44099: 1000, 66: 1, 67: 2} { // at 44.1 kHz: 0.499 ms, 0.522 ms, …
		l := list(t, "X", []string{"x"}, []int{0})
		l.Cues[0].Start += time.Duration((frame*1_000_000_000 + 22050) / 44100)
		if got, _ := export.Milliseconds(l, &l.Cues[0]); got != want {
			t.Errorf("frame %d is at %d ms, want %d", frame, got, want)
		}
	}
}

// TestSchemaKinds: the promise of the list names every kind of call, in the table's order.
func TestSchemaKinds(t *testing.T) {
	data, err := os.ReadFile("../../testdata/list.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, row := range kind.Table {
		names = append(names, strconv.Quote(string(row.Kind)))
	}
	if want := `"kind": {"enum": [` + strings.Join(names, ", ") + "]}"; !strings.Contains(string(data), want) {
		t.Errorf("testdata/list.schema.json should have %s: cues/kind has the kinds", want)
	}
}
