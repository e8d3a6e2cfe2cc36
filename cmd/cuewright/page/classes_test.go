package page_test

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"cuewright/cmd/cuewright/page"
	"cuewright/cues"
	"cuewright/cues/check"
	"cuewright/cues/export"
	"cuewright/cues/kind"
	"cuewright/cues/phrase"
	"cuewright/cues/track"
	"cuewright/plan"
	"cuewright/plan/class"
	"cuewright/plan/class/advise"
	"cuewright/plan/problem"
	"cuewright/samples"
)

// A pageClass is a plan on its way to a page, spoken by the demo voice.
type pageClass struct {
	list     *cues.List
	problems []problem.Problem
	speaker  *track.Speaker
	doc      export.Document
}

var demoVoice = sync.OnceValues(func() (*track.Speaker, error) {
	p, _ := plan.Read("x.yaml", []byte("class: X\nunits: km/h\nmain: [{speed: 5, for: 30s}]\n"))
	return track.OpenSpeaker(context.Background(), samples.Voice(), phrase.English(), p.Track, "")
})

func makeClass(t testing.TB, file, text string) *pageClass {
	t.Helper()
	p, problems := plan.Read(file, []byte(text))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	c, problems := class.Unfold(p)
	demo, err := demoVoice()
	if err != nil {
		t.Fatal(err)
	}
	s := demo.Another()
	l := s.Schedule(c, phrase.English())
	problems = append(problems, l.Problems...)
	return finish(&pageClass{list: l, problems: problems, speaker: s})
}

// finish checks the list, after it was edited too.
func finish(c *pageClass) *pageClass {
	c.problems = append(c.problems, check.List(c.list, c.speaker)...)
	problem.Sort(c.problems)
	c.doc = export.Describe(c.list, c.problems)
	return c
}

// write writes the page to a folder of its own, with a track of the right length
// beside it where sound is set, and returns its path.
func (c *pageClass) write(t testing.TB, stem string, sound bool) string {
	t.Helper()
	dir := t.TempDir()
	p := page.New(c.list, c.problems, 70e9)
	for _, level := range class.Levels {
		at, _ := class.Options{Level: level}.Unfold(c.list.Class.Plan)
		p.AddLevel(at)
	}
	p.Tracks = []string{urlOf(stem + ".wav")}
	var out bytes.Buffer
	if err := p.Write(&out); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(dir, stem+".html")
	if err := os.WriteFile(path, out.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	if sound {
		writeSilence(t, filepath.Join(dir, stem+".wav"), float64(c.doc.Frames)/float64(c.doc.Rate))
	}
	return path
}

func urlOf(name string) string {
	return "./" + strings.NewReplacer("%", "%25", "#", "%23", "?", "%3F").Replace(name)
}

// writeSilence writes a WAV file of 8 bit at 8 kHz: small even for two hours.
func writeSilence(t testing.TB, path string, length float64) {
	n := int(length * 8000)
	head := binary.LittleEndian.AppendUint32([]byte("RIFF"), uint32(36+n))
	head = append(head, "WAVEfmt \x10\x00\x00\x00\x01\x00\x01\x00"...)
	head = binary.LittleEndian.AppendUint32(head, 8000)
	head = binary.LittleEndian.AppendUint32(head, 8000)
	head = append(head, "\x01\x00\x08\x00data"...)
	head = binary.LittleEndian.AppendUint32(head, uint32(n))
	if err := os.WriteFile(path, append(head, bytes.Repeat([]byte{128}, n)...), 0o644); err != nil {
		t.Fatal(err)
	}
}

func tiny(t testing.TB) *pageClass {
	return makeClass(t, "tiny.yaml", "class: One Lamp\nunits: mph\nmain: [{speed: 5, for: 30s}]\n")
}

func demo(t testing.TB) *pageClass {
	text, err := samples.Plan("harbour-steps")
	if err != nil {
		t.Fatal(err)
	}
	return makeClass(t, "harbour-steps.yaml", string(text))
}

// faulty is the demo class with calls moved so that the check has errors and warnings.
func faulty(t testing.TB) *pageClass {
	c := demo(t)
	moved := 0
	for i := range c.list.Cues {
		q := &c.list.Cues[i]
		if q.Kind == kind.Set && moved < 2 { // into the call before it
			q.Start -= q.Length
			moved++
		}
	}
	kept := c.list.Cues[:0]
	for _, q := range c.list.Cues {
		at := q.Start.Seconds()
		if q.Kind == kind.Reminder && at > 1260 { // a long silence in the cool-down
			continue
		}
		kept = append(kept, q)
	}
	c.list.Cues = kept
	c.problems = nil
	return finish(c)
}

// twoHours has at least 2,000 calls, the seconds of counts among them.
func twoHours(t testing.TB) *pageClass {
	var b strings.Builder
	b.WriteString("class: The Long Coast\nunits: min/km\ncalls: {left: [50s, 45s, 40s, 35s, 30s, 25s, 15s, 10s], reminders: 5s, repeat: 30s, count: {from: 10}}\nefforts:\n")
	for i := range 8 {
		fmt.Fprintf(&b, "  leg %d: {speed: [\"7:%02d\", \"5:%02d\"], incline: %d, cadence: %d}\n", i, 50-i*5, 50-i*6, i%5, 160+i)
	}
	b.WriteString("warm-up: [{effort: leg 0, for: 10m}]\nmain:\n  - sets: 11\n    segments:\n")
	for i := range 8 {
		fmt.Fprintf(&b, "      - {effort: leg %d, for: %ds}\n", i, 60+i*5)
	}
	b.WriteString("    between: [{effort: leg 1, for: 55s}]\ncool-down: [{effort: leg 0, for: 805s}]\n")
	c := makeClass(t, "long-coast.yaml", b.String())
	if c.list.Class.Length.Hours() < 2 || len(c.list.Cues) < 2000 {
		t.Fatalf("%v, %d calls", c.list.Class.Length, len(c.list.Cues))
	}
	return c
}

// hour is a common class of an hour: 43 segments.
func hour(t testing.TB) *pageClass {
	return makeClass(t, "long-rise.yaml", `class: Long Rise
units: km/h
efforts:
  stroll: {speed: [4.5, 6], incline: 1}
  even: {speed: [7.5, 9.5], incline: 1, gait: run}
  brisk: {speed: [8, 10], incline: 1, gait: run}
  rise: {speed: [9, 12], incline: 3, gait: run}
  easy: {speed: [5, 6.5], incline: 1}
warm-up: [{effort: stroll, for: 4m}, {effort: even, for: 4m}, {effort: brisk, for: 2m}]
main:
  - sets: 20
    segments: [{effort: rise, for: 90s}]
    between: [{effort: easy, for: 60s}]
cool-down: [{effort: stroll, for: 5m}]
`)
}

// jumpy is a class of 25 minutes with two pairs of warnings half a minute apart.
func jumpy(t testing.TB) *pageClass {
	c := makeClass(t, "quay-run.yaml", `class: Quay Run
units: km/h
efforts:
  stroll: {speed: [4.5, 6], incline: 1}
  even: {speed: [7.5, 10], incline: 1, gait: run}
  fast: {speed: [15, 17], incline: 1, gait: run}
warm-up: [{effort: stroll, for: 6m}]
main: [{effort: fast, for: 30s}, {effort: stroll, for: 30s}, {effort: fast, for: 30s}, {effort: stroll, for: 30s}, {effort: even, for: 9m}]
cool-down: [{effort: even, for: 4m}, {effort: stroll, for: 4m}]
`)
	c.problems = append(c.problems, advise.Class(c.list.Class)...)
	return finish(c)
}

// hostileStem is the name of a file that means something to URLs and to HTML.
const hostileStem = `a b#c%41?'"<i>&amp;`

// evil are texts that would break out of wherever they stand.
var evil = []string{
	`</script><script>window.broken=1</script>`, `"><img src=x onerror=window.broken=1>`, `<!--<script>`, `]]><svg onload=window.broken=1>`,
	`{{.}} ${window.broken=1} \u003cb>`, `'-window.broken=1-'`, `</title><b onclick=1>&lt;&amp;`, "\u202eright to left\u2028line", `</style><style>*{display:none}`,
}

// hostile is a class with names that must stay names.
func hostile(t testing.TB) *pageClass {
	var b strings.Builder
	fmt.Fprintf(&b, "class: %q\ncoach: %q\nunits: km/h\nefforts:\n", evil[0]+strings.Repeat(" long", 30), evil[1])
	for i, e := range evil {
		fmt.Fprintf(&b, "  %q: {speed: [5, %d], incline: %d, cadence: 150}\n", e, 6+i, i%4)
	}
	b.WriteString("main:\n")
	for i, e := range evil {
		fmt.Fprintf(&b, "  - {effort: %q, for: 60s, say: [{at: 20s, text: %q}]}\n", e, evil[(i+1)%len(evil)]+" say")
	}
	return makeClass(t, "</script><b>.yaml", b.String())
}
