package script

import (
	"bytes"
	"slices"
	"strings"
	"testing"
	"time"

	"cuewright/audio/words"
	"cuewright/cues"
	"cuewright/cues/calls"
	"cuewright/cues/phrase"
	"cuewright/plan"
	"cuewright/plan/class"
)

// shelf is a voice of whole recordings, joined word run by word run.
type shelf map[string]bool

func (s shelf) Measure(text string) (cues.Spoken, []string) {
	words := words.Of(text)
	_, missing := s.cover(words)
	return cues.Estimate(text), missing
}

func (s shelf) Parts(text string) int {
	n, missing := s.cover(words.Of(text))
	if len(missing) > 0 {
		return 0
	}
	return n
}

// cover takes the longest recording first, which is enough here.
func (s shelf) cover(words []string) (n int, missing []string) {
	for len(words) > 0 {
		k := len(words)
		for k > 0 && !s[strings.Join(words[:k], " ")] {
			k--
		}
		if k == 0 {
			missing = append(missing, words[0])
			k = 1
		}
		n++
		words = words[k:]
	}
	return n, missing
}

func classes(t *testing.T, texts ...string) []*class.Class {
	var out []*class.Class
	for _, text := range texts {
		p, problems := plan.Read("x.yaml", []byte(text))
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		c, _ := class.Unfold(p)
		out = append(out, c)
	}
	return out
}

const hill = `class: Low Tide
units: km/h
efforts:
  rise: {speed: [8, 10], incline: 3}
main:
  - {speed: 6, incline: 1, for: 5m}
  - {effort: rise, for: 9s}
  - {speed: 6, incline: 1, for: 5m, say: [{at: 1m, text: one more tide}]}
`

// TestRecordOnce: recording the list makes everything sayable, in one go; half
// of it recorded, the other half is listed.
func TestRecordOnce(t *testing.T) {
	c := classes(t, hill)
	b := phrase.English()
	v := shelf{}
	all := Write(c, b, v)
	if len(all.Missing) < 40 || all.Recorded != 0 {
		t.Fatalf("%d missing, %d recorded", len(all.Missing), all.Recorded)
	}
	half := len(all.Missing) / 2
	for _, m := range all.Missing[:half] {
		v[m.Text] = true
	}
	var left []string
	for _, m := range Write(c, b, v).Missing {
		left = append(left, m.Text)
	}
	for _, m := range all.Missing[half:] {
		if !slices.Contains(left, m.Text) {
			if _, missing := v.Measure(m.Text); len(missing) > 0 {
				t.Errorf("%q is not listed any more", m.Text)
			}
		}
		v[m.Text] = true
	}
	for _, text := range left {
		if !slices.ContainsFunc(all.Missing, func(m Item) bool { return m.Text == text }) {
			t.Errorf("%q is new in the list", text)
		}
	}
	if rest := Write(c, b, v); len(rest.Missing) != 0 || rest.Recorded == 0 {
		t.Errorf("after all was recorded %v is missing", rest.Missing)
	}
	for _, text := range calls.Texts(c[0], b) {
		if _, missing := v.Measure(text); len(missing) > 0 {
			t.Errorf("%q cannot be said: %q", text, missing)
		}
	}
}

// TestOrder: the most useful first; sentences that never vary stay whole; what
// must fit a narrow place says so.
func TestOrder(t *testing.T) {
	s := Write(classes(t, hill), phrase.English(), shelf{})
	for i := 1; i < len(s.Missing); i++ {
		if s.Missing[i].Uses > s.Missing[i-1].Uses {
			t.Errorf("%+v comes after %+v", s.Missing[i], s.Missing[i-1])
		}
	}
	find := func(text string) Item {
		i := slices.IndexFunc(s.Missing, func(m Item) bool { return m.Text == text })
		if i < 0 {
			t.Fatalf("%q is not listed", text)
		}
		return s.Missing[i]
	}
	if m := find("one more tide"); m.Uses != 1 || m.First != 6*time.Minute+9*time.Second {
		t.Errorf("%+v", m)
	}
	// The nine seconds of the rise have 3.9 s for "speed six, incline one", of
	// which four words are taken to last 1.6 s.
	if m := find("speed"); m.Longest <= 0 || m.Longest > 3*time.Second {
		t.Errorf("%+v", m)
	}
	if m := find("shoulders low and loose"); m.Longest != 0 {
		t.Errorf("%+v", m)
	}
	whole := Write(classes(t, hill), phrase.English(), shelf{"one more tide": true, "one": true})
	if slices.ContainsFunc(whole.Missing, func(m Item) bool { return strings.Contains(m.Text, "tide") && m.Text != "welcome to low tide" }) {
		t.Error("what is recorded whole is asked for again")
	}
}

func TestPhrases(t *testing.T) {
	v := shelf{}
	for _, w := range phrase.English().NumberWords() {
		v[w] = true
	}
	for _, w := range strings.Fields("in seconds speed incline to left for minutes minute next") {
		v[w] = true
	}
	lots := "class: X\nunits: km/h\nmain:\n  - sets: 5\n    segments: [{speed: [8, 9.5], for: 1m}, {speed: [5, 6], for: 1m}]\n"
	s := Write(classes(t, lots), phrase.English(), v)
	if len(s.Phrases) == 0 || s.Phrases[0].Joins < 2 {
		t.Fatalf("%+v", s.Phrases)
	}
	for _, p := range s.Phrases {
		if v.Parts(p.Text)-1 != p.Joins && v.Parts(p.Text) > 0 {
			t.Errorf("%+v has %d joins", p, v.Parts(p.Text)-1)
		}
	}
}

// TestSheet: user text is escaped, and nothing is loaded from anywhere.
func TestSheet(t *testing.T) {
	s := Script{Missing: []Item{{Text: "<script>alert(1)</script> & co", Uses: 3, Longest: time.Second}}, Phrases: []Phrase{{"a b", 3, 1}}}
	var out bytes.Buffer
	if err := s.Sheet(&out, "en", []string{"Tide & <Time>"}); err != nil {
		t.Fatal(err)
	}
	if strings.Contains(out.String(), "<script>") || strings.Contains(out.String(), "<Time>") || strings.Contains(out.String(), "http") {
		t.Errorf("the page is\n%s", out.String())
	}
	for _, want := range []string{"Tide &amp; &lt;Time&gt;", "1.0 s", `<td class="say">a b</td>`} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("%s is missing", want)
		}
	}
}
