// Package script works out what a coach should record: every text that the
// calls of some classes may need and a voice cannot say yet, the most useful
// first.
package script

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"cuewright/audio/words"
	"cuewright/cues"
	"cuewright/cues/calls"
	"cuewright/cues/kind"
	"cuewright/cues/phrase"
	"cuewright/plan/class"
)

// A Script is what to record.
type Script struct {
	// Recorded is how many of the texts that are needed the voice can say already.
	Recorded int
	Missing  []Item
	// Phrases could be said, but would sound better whole than joined.
	Phrases []Phrase
}

// An Item is one text to record.
type Item struct {
	Text string
	// Uses is how many calls may need it, in all classes together.
	Uses int
	// First is where it is needed first: the class time of the call, in the class
	// of that index.
	First time.Duration
	Class int
	// Longest is how long it may last at most to fit the tightest call that
	// cannot do without it, 0 where any length does.
	Longest time.Duration
}

// A Phrase is a text that several recordings speak now.
type Phrase struct {
	Text  string
	Uses  int
	Joins int // at which it is put together
}

// Voice is what the script needs to know of a voice.
type Voice interface {
	Measure(text string) (cues.Spoken, []string)
	// Parts is how many recordings a text is spoken with, 0 where it cannot be.
	Parts(text string) int
}

// maxPhrases is how many phrases are suggested.
const maxPhrases = 20

// ample is a room that no recording of a phrase fills: it is not worth a word.
const ample = 8 * time.Second

// wholeFrom is the number of words from which a piece is recorded whole even
// where some of its words are there: nobody wants "shoulders low and loose" in
// four recordings.
const wholeFrom = 3

// Write works out the script for classes in one voice.
func Write(classes []*class.Class, book *phrase.Book, voice Voice) Script {
	w := writer{book: book, voice: voice, numbers: map[string]bool{}, items: map[string]*Item{}, there: map[string]bool{}, phrases: map[string]int{}}
	for _, n := range book.NumberWords() {
		w.numbers[n] = true
	}
	for i, c := range classes {
		w.class(i, c)
	}
	return w.script()
}

type writer struct {
	book    *phrase.Book
	voice   Voice
	numbers map[string]bool
	items   map[string]*Item
	there   map[string]bool
	phrases map[string]int // uses by text
}

// A need is one call, and the texts of which a voice must be able to say one.
type need struct {
	kind  kind.Kind
	texts []string // the fullest first
	at    time.Duration
	room  time.Duration // how long it may last at most, 0 where any length does
}

// class adds what the calls of a class need. A reminder is needed once, wherever it
// fits.
func (w *writer) class(class int, c *class.Class) {
	reminded := map[string]bool{}
	for _, st := range calls.Of(c, w.book) {
		for _, call := range st.Calls {
			n := need{kind: call.Kind, at: st.Start + max(0, call.Wordings[0].Prefer), room: st.Room()}
			for _, x := range call.Wordings {
				n.texts = append(n.texts, x.Text)
			}
			w.add(class, n)
		}
		for _, r := range st.Reminders {
			if !reminded[r.Text.Value] {
				reminded[r.Text.Value] = true
				w.add(class, need{kind: kind.Reminder, at: st.Start, texts: []string{r.Text.Value}})
			}
		}
		for _, word := range st.Counted {
			w.add(class, need{kind: kind.Count, at: st.Start + st.Length, texts: []string{word}})
		}
	}
}

// add counts what one call needs.
func (w *writer) add(class int, n need) {
	needed := map[string]int{} // in how many of the wordings
	for i, text := range n.texts {
		seen := map[string]bool{}
		_, lacking := w.voice.Measure(text)
		for _, part := range parts(text) {
			if i == 0 {
				w.phrases[part]++
			}
			for _, piece := range w.pieces(n.kind, part) {
				for _, item := range w.missing(piece, lacking) {
					seen[item] = true
				}
			}
		}
		for item := range seen {
			needed[item]++
		}
	}
	for text, wordings := range needed {
		item := w.items[text]
		if item == nil {
			item = &Item{Text: text, First: n.at, Class: class}
			w.items[text] = item
		}
		item.Uses++
		if class == item.Class {
			item.First = min(item.First, n.at)
		}
		if wordings == len(n.texts) && n.room > 0 {
			if room := w.room(n, text); room < ample && (item.Longest == 0 || room < item.Longest) {
				item.Longest = room
			}
		}
	}
}

// room is what the shortest wording of a call leaves for one text in it.
func (w *writer) room(n need, text string) time.Duration {
	shortest := time.Duration(0)
	for _, t := range n.texts {
		spoken, _ := w.voice.Measure(t)
		if shortest == 0 || spoken.Length < shortest {
			shortest = spoken.Length
		}
	}
	own, _ := w.voice.Measure(text)
	return max(n.room-shortest+own.Length, 0).Truncate(100 * time.Millisecond)
}

// parts cuts a text at its commas and full stops.
func parts(text string) []string {
	var out []string
	for _, p := range strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(",.;:", r) }) {
		if p = strings.TrimSpace(p); p != "" {
			out = append(out, p)
		}
	}
	return out
}

// pieces cuts a part of a sentence into what is recorded by itself: each word of
// a number, and each run of other words whole. Where no number can vary ("take
// a sip if you need one") the part stays whole.
func (w *writer) pieces(k kind.Kind, part string) []string {
	if !kind.Of(k).Counts {
		return []string{strings.Join(words.Of(part), " ")}
	}
	var out []string
	run := ""
	flush := func() {
		if run != "" {
			out = append(out, run)
			run = ""
		}
	}
	for _, word := range words.Of(part) {
		if w.numbers[word] {
			flush()
			out = append(out, word)
			continue
		}
		if run != "" {
			run += " "
		}
		run += word
	}
	flush()
	return out
}

// missing is what has to be recorded so that a piece of a text can be said that
// lacks some words. A word that the piece has by itself may be lacking elsewhere
// in the text, and one that it has not may be there in a longer recording.
func (w *writer) missing(piece string, lacking []string) []string {
	words := words.Of(piece)
	_, alone := w.voice.Measure(piece)
	absent := slices.DeleteFunc(slices.Clone(words), func(word string) bool {
		return !slices.Contains(lacking, word) || !slices.Contains(alone, word)
	})
	switch {
	case len(absent) == 0:
		w.there[piece] = true
		return nil
	case len(words) >= wholeFrom || len(absent) == len(words):
		return []string{piece}
	}
	return absent
}

func (w *writer) script() Script {
	s := Script{Recorded: len(w.there)}
	for _, item := range w.items {
		s.Missing = append(s.Missing, *item)
	}
	slices.SortFunc(s.Missing, func(a, b Item) int {
		return cmp.Or(b.Uses-a.Uses, cmp.Compare(a.Class, b.Class), cmp.Compare(a.First, b.First), cmp.Compare(a.Text, b.Text))
	})
	for text, uses := range w.phrases {
		// What is said once or twice in a class is not worth the work.
		if n := w.joins(text); n >= 2 && uses >= 3 {
			s.Phrases = append(s.Phrases, Phrase{text, uses, n})
		}
	}
	slices.SortFunc(s.Phrases, func(a, b Phrase) int {
		return cmp.Or(b.Uses*b.Joins-a.Uses*a.Joins, cmp.Compare(a.Text, b.Text))
	})
	s.Phrases = s.Phrases[:min(len(s.Phrases), maxPhrases)]
	return s
}

// joins is at how many places a text is put together: of its recordings, or of
// its pieces where it cannot be said yet.
func (w *writer) joins(text string) int {
	if n := w.voice.Parts(text); n > 0 {
		return n - 1
	}
	return len(w.pieces(kind.Ahead, text)) - 1
}
