// Package phrase turns times, targets and names into sentences. What is said
// stands in a sentence book, a data file for each language; this package fills
// its slots and says numbers in words. A voice may bring words of its own:
//
//	language: fr-CH
//	numbers:
//	  decimal: "{whole} point {tenth}"    # the rest as in the book of French
//	sentences:
//	  last: [la toute dernière, dernière série]
package phrase

import (
	"strings"
	"sync"

	"cuewright/audio/words"
	"cuewright/plan/problem"
	"cuewright/plan/strict"
)

// A Book holds the sentences of one language.
type Book struct {
	// File is the voice.yaml that holds own words of the book and their places, nothing for a book of [ForLanguage].
	File string
	// Recordings are what files of the voice speak, by their names, where voice.yaml says it.
	Recordings strict.Map[strict.Text]

	Language  strict.Text               `key:"language,required" doc:"the language's BCP 47 tag"`
	Numbers   numbers                   `key:"numbers,required" doc:"numbers in words"`
	Times     times                     `key:"times,required" doc:"lengths of time"`
	Targets   targets                   `key:"targets,required" doc:"what is dialled in"`
	Sentences strict.Map[[]strict.Text] `key:"sentences,required" doc:"the wordings of every call, the fullest first"`
	Parts     partNames                 `key:"parts,required" doc:"the names of the parts of a class"`
	Reminders []Reminder                `key:"reminders,required" doc:"what is said where there is room"`

	spokenOnce sync.Once
	spoken     map[string][]spokenUnit // by its first word
	and        []string
}

// Slots are written {like this}. The tag slots names those that a text must have; of some parted by | it must have one.
type numbers struct {
	Cardinals    []strict.Text           `key:"cardinals,required,filled" doc:"0 to 99, as one counts"`
	Masculine    strict.Map[strict.Text] `key:"masculine" doc:"by number, what differs before a masculine noun"`
	Feminine     strict.Map[strict.Text] `key:"feminine" doc:"by number, what differs before a feminine noun"`
	Decimal      strict.Text             `key:"decimal,required" slots:"whole tenth" doc:"a number with one decimal"`
	Negative     strict.Text             `key:"negative,required" slots:"number" doc:"a number below zero"`
	Range        strict.Text             `key:"range,required" slots:"low high" doc:"from a slow to a fast number"`
	Pace         strict.Text             `key:"pace,required" slots:"minutes seconds" doc:"minutes and seconds for a distance"`
	PaceUnderTen strict.Text             `key:"pace-under-ten,required" slots:"minutes seconds" doc:"the same with less than ten seconds"`
	PaceFlat     strict.Text             `key:"pace-flat,required" slots:"minutes" doc:"the same with whole minutes"`
}

type times struct {
	Second  strict.Text `key:"second,required" slots:"" doc:"1 s"`
	Seconds strict.Text `key:"seconds,required" slots:"number|masculine|feminine" doc:"several seconds"`
	Minute  strict.Text `key:"minute,required" slots:"" doc:"1 min"`
	Minutes strict.Text `key:"minutes,required" slots:"number|masculine|feminine" doc:"several minutes"`
	Hour    strict.Text `key:"hour,required" slots:"" doc:"1 h"`
	Hours   strict.Text `key:"hours,required" slots:"number|masculine|feminine" doc:"several hours"`
	And     strict.Text `key:"and" slots:"" doc:"the word before the last of several units, where there is one"`
}

type targets struct {
	Speed       strict.Text `key:"speed,required" slots:"speed" doc:"a speed"`
	Pace        strict.Text `key:"pace,required" slots:"speed" doc:"a pace"`
	Incline     strict.Text `key:"incline,required" slots:"incline" doc:"an incline"`
	Downhill    strict.Text `key:"downhill,required" slots:"incline" doc:"an incline below zero, by its size"`
	KeepSpeed   strict.Text `key:"keep-speed,required" slots:"" doc:"only the incline changes"`
	KeepPace    strict.Text `key:"keep-pace,required" slots:"" doc:"only the incline changes, in a unit of pace"`
	KeepIncline strict.Text `key:"keep-incline,required" slots:"" doc:"only the speed changes"`
	KeepAll     strict.Text `key:"keep-all,required" slots:"" doc:"nothing changes"`
	KeepAllPace strict.Text `key:"keep-all-pace,required" slots:"" doc:"nothing changes, in a unit of pace"`
	Feel        strict.Text `key:"feel,required" slots:"feel" doc:"perceived exertion, of ten"`
	KeepFeel    strict.Text `key:"keep-feel,required" slots:"" doc:"only the incline changes, by feel"`
	KeepAllFeel strict.Text `key:"keep-all-feel,required" slots:"" doc:"nothing changes, by feel"`
	StepUp      strict.Text `key:"step-up" slots:"" doc:"said after a speed that rises by one step of the machine, where there are words for it"`
	StepUpPace  strict.Text `key:"step-up-pace" slots:"" doc:"the same in a unit of pace"`
}

type partNames struct {
	WarmUp   strict.Text `key:"warm-up,required" slots:"" doc:"the warm-up"`
	Main     strict.Text `key:"main,required" slots:"" doc:"the main part"`
	CoolDown strict.Text `key:"cool-down,required" slots:"" doc:"the cool-down"`
}

// A Reminder is a sentence of form or breath and the segments it fits.
type Reminder struct {
	Text strict.Text   `key:"text,required" doc:"what is said"`
	Fits []strict.Text `key:"fits,required,filled" doc:"easy, work or climb"`
	// Most is at most how often it is said in a class, 0 for as often as it fits.
	Most strict.Integer `key:"most" in:"1..99" doc:"at most so often in a class"`
}

// Read reads a sentence book.
func Read(data []byte) (*Book, []problem.Problem) {
	var b Book
	var r strict.Reader
	strict.Decode(data, &b, &r)
	b.check(&r)
	return &b, r.Problems()
}

// fill puts the values of pairs (slot, value, …) into the slots of t.
func fill(t strict.Text, pairs ...string) string {
	text := t.Value
	for i := 0; i < len(pairs); i += 2 {
		text = strings.ReplaceAll(text, pairs[i], pairs[i+1])
	}
	return text
}

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
	// Time is the index of the word at which the text of the slot "time" begins, -1
	// where it has none.
	Time int
}

// Wordings returns the wordings of a call whose slots are all filled, in the
// order of the book.
func (b *Book) Wordings(call string, slots ...Slot) []Wording {
	var out []Wording
	texts, _ := b.Sentences.Get(call)
next:
	for rank, t := range texts {
		w := Wording{Text: t.Value, Rank: rank, Time: -1}
		before, _, timed := strings.Cut(t.Value, "{time}")
		for _, s := range slots {
			mark := "{" + s.Name + "}"
			if !strings.Contains(w.Text, mark) {
				continue
			}
			if s.Text == "" {
				continue next
			}
			w.Text = strings.ReplaceAll(w.Text, mark, s.Text)
			before = strings.ReplaceAll(before, mark, s.Text)
			if s.Named {
				w.Names = append(w.Names, s.Text)
			}
		}
		if timed {
			w.Time = len(words.Of(before))
		}
		if !strings.Contains(w.Text, "{") {
			out = append(out, w)
		}
	}
	return out
}

// Mark is the word counted on a change itself.
func (b *Book) Mark() string {
	for _, w := range b.Wordings("mark") {
		return w.Text
	}
	return ""
}
