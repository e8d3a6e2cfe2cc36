package page_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"regexp"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"cuewright/cmd/cuewright/page"
	"cuewright/cues"
	"cuewright/cues/kind"
	"cuewright/cues/phrase"
	"cuewright/plan"
	"cuewright/plan/class"
	"cuewright/plan/problem"
	"cuewright/plan/units"
)

// written is the page of a small list whose every text is the given one.
func written(t interface{ Fatal(...any) }, text string) string {
	p, problems := plan.Read("x.yaml", []byte("class: X\nunits: km/h\nmain: [{speed: 5, for: 30s}]\n"))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	p.Class.Value, p.Coach.Value = text, text
	c, _ := class.Unfold(p)
	c.Segments[0].Effort = text
	l := &cues.List{Title: text, Class: c, Book: phrase.English(), Cues: []cues.Cue{
		{Start: time.Second, Length: time.Second, Lane: cues.Speech, Kind: kind.Say, Text: text}}}
	pg := page.New(l, []problem.Problem{{Severity: problem.Error, Kind: "overlap", File: text, Timed: true, At: time.Second, Message: text}}, 0)
	pg.Tracks = []string{text}
	pg.Effort, pg.Drawing.Stretches[1].Effort = []string{text}, text
	pg.Levels, pg.Drawing.Stretches[1].AtLevels, pg.Drawing.Stretches[1].Targets.Own = []string{text}, []string{text}, text
	var out bytes.Buffer
	if err := pg.Write(&out); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

var (
	tags       = regexp.MustCompile(`<[/!]?[A-Za-z-][^>]*`)
	dataIsland = regexp.MustCompile(`(?s)<script type="application/json" id="class">(.*?)</script>`)
)

// skeleton is a page's markup without its texts: the names of its tags in order.
func skeleton(html string) string {
	var b strings.Builder
	for _, tag := range tags.FindAllString(html, -1) {
		b.WriteString(strings.Fields(tag)[0] + "\n")
	}
	return b.String()
}

// checkEscaped: whatever a text holds, the page has the tags of a page of plain
// words, and its data is the text again.
func checkEscaped(t interface {
	Fatal(...any)
	Fatalf(string, ...any)
}, text string) {
	if text == "" {
		return // what is not given has no place on the page either
	}
	html := written(t, text)
	if got, want := skeleton(html), skeleton(written(t, "plain")); got != want {
		t.Fatalf("%q becomes markup", text)
	}
	island := dataIsland.FindStringSubmatch(html)
	var d page.Drawing
	if island == nil {
		t.Fatalf("%q: no data", text)
	}
	if err := json.Unmarshal([]byte(island[1]), &d); err != nil {
		t.Fatalf("%q: %v", text, err)
	}
	if strings.ContainsAny(island[1], "<>") {
		t.Fatalf("%q: the data holds markup", text)
	}
	// JSON holds no bytes that are not UTF-8: each becomes the sign for that.
	if want := string([]rune(text)); d.Sounds[0].Text != want {
		t.Fatalf("%q is read back as %q", text, d.Sounds[0].Text)
	}
}

func TestEscaped(t *testing.T) {
	for _, text := range evil {
		checkEscaped(t, text)
	}
	pieces := rapid.SampledFrom(append([]string{"<", ">", "\"", "'", "&", "`", "</", "<!--", "-->", "script", "style", "title", "textarea", "\\", "=", " ", "\x00", "\u2028", "{{", "}}", "on"}, evil...))
	rapid.Check(t, func(t *rapid.T) {
		checkEscaped(t, strings.Join(rapid.SliceOfN(pieces, 1, 8).Draw(t, "pieces"), ""))
	})
}

func FuzzEscaped(f *testing.F) {
	for _, text := range evil {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) { checkEscaped(t, text) })
}

// TestTold: the page tells effort, levels and the plan's own unit where it is given them.
func TestTold(t *testing.T) {
	c := demo(t)
	p := page.New(c.list, c.problems, 0)
	var out bytes.Buffer
	for i := range p.Drawing.Stretches {
		p.Drawing.Stretches[i].Effort = ""
	}
	if p.Write(&out); strings.Contains(out.String(), "effort, estimated") {
		t.Error("a column of effort without any")
	}
	if p = page.New(c.list, c.problems, 70e9); !strings.Contains(p.Drawing.Stretches[1].Effort, " METs, ") || !strings.Contains(strings.Join(p.Effort, " "), "kcal for 70 kg") {
		t.Errorf("the effort is %q, of all %q", p.Drawing.Stretches[1].Effort, p.Effort)
	}
	p.Effort = []string{"about 250 kcal"}
	p.Drawing.Stretches[1].Effort = "about 3.2 METs"
	p.Drawing.Stretches[1].Targets.Own = "2.8 mph"
	lower, _ := class.Options{Level: class.Lower}.Unfold(c.list.Class.Plan)
	p.AddLevel(lower)
	out.Reset()
	if err := p.Write(&out); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"effort, estimated", "about 250\u00a0kcal", "about 3.2 METs", ` class="n">lower</th>`, ` data-level="lower">4.5</td>`, "(2.8 mph)", `"levels":["lower 4.5"]`} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("the page does not tell %q", want)
		}
	}
	for _, q := range c.list.Cues {
		if q.Lane == cues.Speech && !strings.Contains(out.String(), fmt.Sprintf("%s: go there", units.FormatClock(q.Start))) {
			t.Errorf("the call at %v is not on the page", q.Start)
		}
	}
}
