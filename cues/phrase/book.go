// Package phrase turns times, targets and names into sentences. What is said
// stands in a sentence book, a data file for each language; this package fills
// its slots and says numbers in words.
package phrase

import (
	_ "embed"
	"fmt"
	"slices"
	"strings"
	"sync"

	"cuewright/plan/strict"
)

//go:embed english.yaml
var english []byte

// A Book holds the sentences of one language.
type Book struct {
	Language  strict.Text         `key:"language,required" doc:"the language's BCP 47 tag"`
	Numbers   numbers             `key:"numbers,required" doc:"numbers in words"`
	Times     times               `key:"times,required" doc:"lengths of time"`
	Targets   targets             `key:"targets,required" doc:"what is dialled in"`
	Sentences strict.Map[[]words] `key:"sentences,required" doc:"the wordings of every call, the fullest first"`
	Parts     parts               `key:"parts,required" doc:"the names of the parts of a class"`
	Reminders []Reminder          `key:"reminders,required" doc:"what is said where there is room"`

	spokenOnce sync.Once
	spoken     map[string][]spokenTime
}

// words is a text with slots.
type words = strict.Text

type numbers struct {
	Cardinals    []words `key:"cardinals,required" doc:"0 to 99"`
	Decimal      words   `key:"decimal,required" doc:"a number with one decimal"`
	Negative     words   `key:"negative,required" doc:"a number below zero"`
	Range        words   `key:"range,required" doc:"from a slow to a fast number"`
	Pace         words   `key:"pace,required" doc:"minutes and seconds for a distance"`
	PaceUnderTen words   `key:"pace-under-ten,required" doc:"the same with less than ten seconds"`
	PaceFlat     words   `key:"pace-flat,required" doc:"the same with whole minutes"`
}

type times struct {
	Second  words `key:"second,required" doc:"1 s"`
	Seconds words `key:"seconds,required" doc:"several seconds"`
	Minute  words `key:"minute,required" doc:"1 min"`
	Minutes words `key:"minutes,required" doc:"several minutes"`
	Hour    words `key:"hour,required" doc:"1 h"`
	Hours   words `key:"hours,required" doc:"several hours"`
}

type targets struct {
	Speed       words `key:"speed,required" doc:"a speed"`
	Pace        words `key:"pace,required" doc:"a pace"`
	Incline     words `key:"incline,required" doc:"an incline"`
	KeepSpeed   words `key:"keep-speed,required" doc:"only the incline changes"`
	KeepPace    words `key:"keep-pace,required" doc:"only the incline changes, in a unit of pace"`
	KeepIncline words `key:"keep-incline,required" doc:"only the speed changes"`
	KeepAll     words `key:"keep-all,required" doc:"nothing changes"`
	KeepAllPace words `key:"keep-all-pace,required" doc:"nothing changes, in a unit of pace"`
}

type parts struct {
	WarmUp   words `key:"warm-up,required" doc:"the warm-up"`
	Main     words `key:"main,required" doc:"the main part"`
	CoolDown words `key:"cool-down,required" doc:"the cool-down"`
}

// A Reminder is a sentence of form or breath and the segments it fits.
type Reminder struct {
	Text words   `key:"text,required" doc:"what is said"`
	Fits []words `key:"fits,required" doc:"easy, work or climb"`
}

// English returns the built-in book of English. It is shared and must not be changed.
var English = sync.OnceValue(func() *Book {
	b, problems := Read(english)
	if len(problems) > 0 {
		panic(fmt.Sprint("phrase: english.yaml: ", problems))
	}
	return b
})

// sentenceKeys are the calls a book must word.
var sentenceKeys = []string{"welcome", "safety", "first", "ahead", "end", "now", "now-part", "left",
	"set", "last", "halfway", "finish", "mark"}

// Read reads a sentence book.
func Read(data []byte) (*Book, []strict.Problem) {
	var b Book
	var r strict.Reader
	strict.Decode(data, &b, &r)
	if n := len(b.Numbers.Cardinals); n > 0 && n != 100 {
		r.BadAt(b.Numbers.Cardinals[0].Pos, "the numbers from 0 to 99 are expected, these are %d", n)
	}
	for _, key := range sentenceKeys {
		if s, ok := b.Sentences.Get(key); b.Sentences.Pos.Given() && (!ok || len(s) == 0) {
			r.BadAt(b.Sentences.Pos, "the sentences have no %q", key)
		}
	}
	for _, key := range b.Sentences.Keys {
		if !slices.Contains(sentenceKeys, key.Value) {
			r.BadAt(key.Pos, "there is no call %q%s", key.Value, strict.Suggest(key.Value, sentenceKeys))
		}
	}
	for _, rem := range b.Reminders {
		for _, f := range rem.Fits {
			if fits := []string{"easy", "work", "climb"}; !slices.Contains(fits, f.Value) {
				r.BadAt(f.Pos, "a reminder fits easy, work or climb, not %q", f.Value)
			}
		}
	}
	return &b, r.Problems()
}

// fill puts the values of pairs (slot, value, …) into the slots of t.
func fill(t words, pairs ...string) string { return strings.NewReplacer(pairs...).Replace(t.Value) }

// A Slot is a place in a sentence and what stands there.
type Slot struct {
	Name string // "effort", "n", …
	Text string // nothing where the call has no such thing
	// Named is set for what the coach named: a voice need not know it.
	Named bool
}

// A Wording is one way to make a call.
type Wording struct {
	Text string
	// Rank counts from 0, the fullest wording of the call in the book.
	Rank int
	// Names are the coach's own names in the text.
	Names []string
}

// Wordings returns the wordings of a call whose slots are all filled, in the
// order of the book.
func (b *Book) Wordings(call string, slots ...Slot) []Wording {
	var out []Wording
	texts, _ := b.Sentences.Get(call)
next:
	for rank, t := range texts {
		w := Wording{Text: t.Value, Rank: rank}
		for _, s := range slots {
			mark := "{" + s.Name + "}"
			if !strings.Contains(w.Text, mark) {
				continue
			}
			if s.Text == "" {
				continue next
			}
			w.Text = strings.ReplaceAll(w.Text, mark, s.Text)
			if s.Named {
				w.Names = append(w.Names, s.Text)
			}
		}
		if !strings.Contains(w.Text, "{") {
			out = append(out, w)
		}
	}
	return out
}

// Mark is the word counted on a change itself.
func (b *Book) Mark() string {
	list, _ := b.Sentences.Get("mark")
	return list[0].Value
}

// Words splits a text as a voice does: at whatever is neither letter nor digit,
// apostrophes dropped, in lower case.
func Words(text string) []string {
	return strings.FieldsFunc(apostrophes.Replace(strings.ToLower(text)), func(r rune) bool { return !isWord(r) })
}

var apostrophes = strings.NewReplacer("'", "", "’", "")

// Find returns the index of the word of text at which the words of part first
// stand, -1 where they do not.
func Find(text, part []string) int {
	for i := 0; i+len(part) <= len(text); i++ {
		if slices.Equal(text[i:i+len(part)], part) {
			return i
		}
	}
	return -1
}
