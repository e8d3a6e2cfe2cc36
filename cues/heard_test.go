package cues_test

import (
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"cuewright/audio/words"
	"cuewright/cues"
	"cuewright/cues/check"
	"cuewright/cues/kind"
	"cuewright/cues/phrase"
	"cuewright/plan"
	"cuewright/plan/class"
	"cuewright/plan/problem"
)

// TestHeard listens to random classes in every language and at every level, knowing only the class and the words of its
// numbers: what changed is heard when the keys are pressed, or an error says why not; nobody is further than three minutes
// from hearing it; no reminder comes again within eight minutes; "last" is said of the last sets of a block only.
func TestHeard(t *testing.T) {
	for _, tag := range phrase.Languages() {
		t.Run(tag, func(t *testing.T) {
			book, _ := phrase.ForLanguage(tag)
			rapid.Check(t, func(t *rapid.T) {
				text := drawPlan(t)
				p, problems := plan.Read("x.yaml", []byte(text))
				if len(problems) > 0 {
					t.Fatal(text, problems)
				}
				o := class.Options{Level: rapid.SampledFrom(append([]class.Level{class.NoLevel}, class.Levels...)).Draw(t, "level")}
				c, _ := o.Unfold(p)
				l := cues.Schedule(c, book, brisk())
				h := hearing{t: t, class: c, book: book, list: l, text: text, unconfirmed: map[time.Duration]bool{}}
				for _, p := range check.List(l, brisk()) {
					if p.Kind == check.Unconfirmed || p.Kind == check.Unwarned {
						h.unconfirmed[p.At] = true
					}
				}
				h.confirmed()
				h.repeated()
				h.reminded()
			})
		})
	}
}

type hearing struct {
	t           *rapid.T
	class       *class.Class
	book        *phrase.Book
	list        *cues.List
	text        string
	unconfirmed map[time.Duration]bool
}

// news are the words of the numbers of segment i that differ from those before, the speed or feel first.
func (h *hearing) news(i int) []string {
	s := h.class.Segments[i].Target
	var before class.Target
	if i > 0 {
		before = h.class.Segments[i-1].Target
	}
	var out []string
	if i == 0 || s.Speed != before.Speed {
		out = append(out, h.book.Range(h.class.Units, s.Speed))
	}
	if s.HasIncline && (i == 0 || s.Incline != before.Incline) {
		n, _ := h.book.Number(max(s.Incline, -s.Incline))
		out = append(out, n)
	}
	return out
}

// says reports whether a text has other words in it.
func says(text, part string) bool { return words.Find(words.Of(text), words.Of(part)) >= 0 }

func (h *hearing) confirmed() {
	for i, s := range h.class.Segments {
		news := h.news(i)
		if s.Length < 8*time.Second || len(news) == 0 || h.unconfirmed[s.Start] {
			continue
		}
		if s.Length < 12*time.Second {
			news = news[:1]
		}
		by := 6 * time.Second
		if !s.Target.Speed.Single() {
			by = 9 * time.Second
		}
		for _, part := range news {
			heard := false
			for _, q := range h.list.Cues {
				heard = heard || q.Lane == cues.Speech && q.Start >= s.Start && q.End() <= s.Start+by && says(q.Text, part)
			}
			if !heard {
				h.t.Fatalf("%s%q is not heard within %v of %v, and nothing says why", h.text, part, by, s.Start)
			}
		}
	}
}

// repeated follows the numbers that changed last through the class.
func (h *hearing) repeated() {
	const repeat = 3 * time.Minute
	for i, s := range h.class.Segments {
		news := h.news(i)
		if len(news) == 0 || h.unconfirmed[s.Start] {
			continue
		}
		end := h.class.Length
		for k := i + 1; k < len(h.class.Segments); k++ {
			if len(h.news(k)) > 0 {
				end = h.class.Segments[k].Start
				break
			}
		}
		since := s.Start
		for _, q := range h.list.Cues {
			if q.Lane != cues.Speech || q.Start < s.Start || q.Start >= end {
				continue
			}
			if says(q.Text, strings.Join(news[:1], " ")) {
				if q.Start-since > repeat {
					h.missed(news[0], since, q.Start)
				}
				since = q.End()
			}
		}
		if end-since > repeat {
			h.missed(news[0], since, end)
		}
	}
}

// missed fails where numbers are not heard for too long and nothing tells that their repetition found no room.
func (h *hearing) missed(number string, from, to time.Duration) {
	for _, p := range h.list.Problems {
		if p.Kind == "left-out" && p.At > from && p.At < to && says(p.Message, number) {
			return
		}
	}
	h.t.Fatalf("%s%q is not heard from %v to %v", h.text, number, from, to)
}

func (h *hearing) reminded() {
	last := map[string]time.Duration{}
	for _, q := range h.list.Cues {
		if q.Kind != kind.Reminder {
			continue
		}
		if at, ok := last[q.Text]; ok && q.Start-at < 8*time.Minute {
			h.t.Fatalf("%s%q again after %v", h.text, q.Text, q.Start-at)
		}
		last[q.Text] = q.Start
	}
}

// TestLastOfWhat: the last set is the last one only where no sets follow; else it is that of its block, by name where it has one.
func TestLastOfWhat(t *testing.T) {
	c := unfold(t, `class: X
units: km/h
main:
  - {name: hills, sets: 2, segments: [{speed: 8, for: 40s}]}
  - {sets: 2, segments: [{speed: 9, for: 40s}]}
  - sets: 2
    segments: [{sets: 2, segments: [{speed: 10, for: 40s}]}]
`)
	var got []string
	for _, q := range cues.Schedule(c, phrase.English(), brisk()).Cues {
		if q.Kind == kind.Set || q.Kind == kind.Last {
			got = append(got, q.Text)
		}
	}
	want := "hills, one of two; last of the hills; set one of two; last of this block; " +
		"block one of two. set one of two; last of this block; block two of two. set one of two; last set"
	if strings.Join(got, "; ") != want {
		t.Errorf("%s, want %s", strings.Join(got, "; "), want)
	}
}

// TestUnchanged: a number that stays is spoken of where it changed at the change before, always or never.
func TestUnchanged(t *testing.T) {
	for set, want := range map[string]string{
		"":                             "speed eight, keep the incline; speed nine; incline three, keep your speed; speed ten, keep the incline",
		"calls: {unchanged: always}\n": "speed eight, keep the incline; speed nine, keep the incline; incline three, keep your speed; speed ten, keep the incline",
		"calls: {unchanged: never}\n":  "speed eight; speed nine; incline three; speed ten",
	} {
		c := unfold(t, "class: X\nunits: km/h\n"+set+"main:\n  - {speed: 7, incline: 2, for: 60s}\n  - {speed: 8, incline: 2, for: 60s}\n"+
			"  - {speed: 9, incline: 2, for: 60s}\n  - {speed: 9, incline: 3, for: 60s}\n  - {speed: 10, incline: 3, for: 60s}\n")
		var got []string
		for _, q := range cues.Schedule(c, phrase.English(), brisk()).Cues {
			if _, said, ok := strings.Cut(q.Text, "in twenty seconds, "); ok && q.Segment >= 0 && !strings.HasPrefix(said, "slow") {
				got = append(got, said)
			}
		}
		if strings.Join(got, "; ") != want {
			t.Errorf("%s: %s, want %s", set, strings.Join(got, "; "), want)
		}
	}
}

// TestTheme: the plan's own reminders come first, and one that nobody can say is told of.
func TestTheme(t *testing.T) {
	v := brisk()
	v.unknown = map[string]bool{"lantern": true}
	c := unfold(t, "class: X\nunits: km/h\ntheme: [stay with the tide, follow the lantern]\nmain: [{speed: 8, for: 10m}, {speed: 9, for: 10m}, {speed: 8, for: 10m}]\n")
	l := cues.Schedule(c, phrase.English(), v)
	first := ""
	for _, q := range l.Cues {
		if q.Kind == kind.Reminder && first == "" {
			first = q.Text
		}
		if strings.Contains(q.Text, "lantern") {
			t.Errorf("%q is said", q.Text)
		}
	}
	if first != "stay with the tide" {
		t.Errorf("the first reminder is %q", first)
	}
	told := false
	for _, p := range l.Problems {
		told = told || p.Severity == problem.Warning && p.Line == 3 && strings.Contains(p.Message, "lantern") && !strings.Contains(p.Message, "times more")
	}
	if !told {
		t.Errorf("nothing tells of the lantern: %v", l.Problems)
	}
}

// TestUnsaidBlock: a block's name that nobody can say is told where it stands.
func TestUnsaidBlock(t *testing.T) {
	v := brisk()
	v.unknown = map[string]bool{"rounds": true}
	c := unfold(t, "class: X\nunits: km/h\nmain:\n  - name: rounds\n    sets: 2\n    segments: [{speed: 8, for: 60s}]\n")
	for _, p := range cues.Schedule(c, phrase.English(), v).Problems {
		if p.Kind == "unsaid-name" && p.Line == 4 && p.Column == 11 {
			return
		}
	}
	t.Error("nothing is told at the name of the block")
}
