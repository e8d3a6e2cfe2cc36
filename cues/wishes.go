package cues

import (
	"time"

	"cuewright/cues/phrase"
	"cuewright/plan/class"
)

// A Wish is one call of a class and every wording of it that a voice may be
// asked for, whatever its lengths turn out to be.
type Wish struct {
	Kind Kind
	// At is the class time at which the call is made at best.
	At time.Duration
	// Room is how long it may last at most.
	Room  time.Duration
	Texts []string // the fullest first
}

// Wishes lists every call of a class with all its wordings: who records their
// texts once can render the class, and never needs another recording for it.
func Wishes(c *class.Class, book *phrase.Book) []Wish {
	s := newScheduler(c, book, anyVoice{})
	var wishes []Wish
	s.asked = func(st *stretch) {
		for _, call := range st.calls {
			w := Wish{Kind: call.kind, At: st.start + max(0, call.ways[0].prefer), Room: st.to - st.from}
			seen := map[string]bool{}
			for _, way := range call.ways {
				if !seen[way.text] {
					seen[way.text] = true
					w.Texts = append(w.Texts, way.text)
				}
			}
			wishes = append(wishes, w)
		}
	}
	s.schedule()
	for i := range s.list.Cues {
		switch q := &s.list.Cues[i]; {
		case q.Kind == Reminder, q.Lane == CountLane && s.wordsCounted():
			wishes = append(wishes, Wish{Kind: q.Kind, At: q.Start, Texts: []string{q.Text}})
		}
	}
	return wishes
}

// anyVoice can say anything, at the rate of ordinary speech.
type anyVoice struct{}

// Word is how long a word is taken to last where there is no recording to tell:
// read speech has some 150 words a minute (testdata/reference/speech/values.csv).
const Word = 400 * time.Millisecond

// Estimate is the length of a text at the rate of ordinary speech.
func Estimate(text string) Spoken {
	s := Spoken{Words: phrase.Words(text)}
	for i := range s.Words {
		at := Word * time.Duration(i)
		s.When = append(s.When, Span{at, at})
	}
	s.Length = Word * time.Duration(max(1, len(s.Words)))
	return s
}

func (anyVoice) Speak(text string) (Spoken, []string) { return Estimate(text), nil }

func (anyVoice) Perform(text string) Performance {
	return Performance{Length: Estimate(text).Length}
}
