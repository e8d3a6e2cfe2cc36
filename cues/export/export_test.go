package export_test

import (
	"bytes"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"pgregory.net/rapid"

	"cuewright/cues"
	"cuewright/cues/export"
	"cuewright/plan"
)

// list makes a list of cues at the given milliseconds of a track of 44.1 kHz.
func list(t interface{ Fatal(...any) }, title string, texts []string, starts []int) *cues.List {
	p, problems := plan.Read("x.yaml", []byte("class: "+strconv.Quote(title)+"\nunits: min/km\ntrack: {rate: 44100}\nmain: [{speed: [\"6:30\", \"5:15\"], for: 10m}]\n"))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	c, _ := plan.Unfold(p)
	l := &cues.List{Title: title, Class: c}
	for i, text := range texts {
		l.Cues = append(l.Cues, cues.Cue{Start: time.Duration(starts[i])*time.Millisecond - c.Opening, Length: time.Duration(i) * time.Microsecond,
			Lane: cues.Speech, Kind: cues.Say, Text: text})
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
	if err := export.JSON(&out, l, []plan.Problem{{Severity: plan.Warning, Kind: "gap", File: "x.yaml", Timed: true, At: time.Second, Message: "m"}}); err != nil {
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

// TestVTT checks captions against the rules of W3C WebVTT, section "WebVTT file
// structure", as testdata/reference/captions/webvtt_rules.json lists them, for
// any text and any times.
func TestVTT(t *testing.T) {
	timing := regexp.MustCompile(`^((?:\d{2,}:)?[0-5]\d:[0-5]\d\.\d{3}) --> ((?:\d{2,}:)?[0-5]\d:[0-5]\d\.\d{3})$`)
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringOfN(rapid.SampledFrom([]rune("ab <>&-é\u2028")), 1, 12, -1)
		n := rapid.IntRange(1, 6).Draw(t, "cues")
		var texts []string
		var starts []int
		for i := range n {
			texts = append(texts, "x"+text.Draw(t, "text"))
			starts = append(starts, rapid.IntRange(0, 5_000_000).Draw(t, "start"))
			_ = i
		}
		var out bytes.Buffer
		if err := export.VTT(&out, list(t, "A --> B & <C>", texts, starts)); err != nil {
			t.Fatal(err)
		}
		blocks := strings.Split(strings.TrimSuffix(out.String(), "\n"), "\n\n")
		if head := blocks[0]; !strings.HasPrefix(head, "WEBVTT ") || strings.Contains(head, "-->") || strings.Contains(head, "\n") {
			t.Fatalf("the head is %q", head)
		}
		if len(blocks) != n+1 {
			t.Fatalf("%d captions, want %d", len(blocks)-1, n)
		}
		last := int64(-1)
		for _, b := range blocks[1:] {
			lines := strings.Split(b, "\n")
			m := timing.FindStringSubmatch(lines[0])
			if m == nil || len(lines) != 2 {
				t.Fatalf("caption %q", b)
			}
			from, to := ms(m[1]), ms(m[2])
			if from < last || to <= from {
				t.Fatalf("caption %q after one at %d ms", b, last)
			}
			last = from
			payload := regexp.MustCompile(`&(amp|lt|gt);`).ReplaceAllString(lines[1], "")
			if strings.ContainsAny(payload, "<&") || strings.Contains(payload, "-->") {
				t.Fatalf("payload %q", lines[1])
			}
		}
	})
}

func ms(stamp string) int64 {
	d, err := time.ParseDuration(regexp.MustCompile(`^(\d+):(\d+):([\d.]+)$`).ReplaceAllString(stamp, "${1}h${2}m${3}s"))
	if err != nil {
		panic(err)
	}
	return d.Milliseconds()
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
