// Package cues decides what is called when: it joins a class with a voice's
// sentence lengths into a list of cues, each at its time.
//
// Changes of segment are walls that no sentence crosses, so every segment is
// placed by itself, given what the one before left behind.
package cues

import (
	"time"

	"cuewright/audio/words"
	"cuewright/cues/calls"
	"cuewright/cues/kind"
	"cuewright/cues/phrase"
	"cuewright/plan/class"
	"cuewright/plan/problem"
)

// A Lane is where a cue sounds. Clicks are derived from the segments and stand
// in no list.
type Lane string

// The lanes of a list.
const (
	Speech    Lane = "speech"
	CountLane Lane = "count"
)

// A Cue is one sound of the coach: a sentence, or one second of a count.
type Cue struct {
	// Start is the class time of its first sound, Length how long it sounds.
	Start, Length time.Duration
	Lane          Lane
	Kind          kind.Kind
	Text          string
	// Clips are the recordings it is spoken with, in order; none for a beep.
	Clips []string
	// Segment is the index of the segment it belongs to, -1 in opening and closing.
	Segment int
	// Mark is, for a cue of the count, the second it counts, where its beep
	// starts; Long tells the mark on the change itself.
	Mark time.Duration
	Long bool
	// File and Pos tell where it comes from, in the plan or in an edited list.
	File string
	Pos  problem.Pos
	// Says is the length of time that the sentence speaks of, as it was worded. A row that
	// was edited has none, even where its text speaks of a time.
	Says Claim
}

// A Claim is a length of time spoken of in a sentence, and the index of the word at which
// it begins. The zero Claim is none.
type Claim struct {
	Word int
	Time time.Duration
}

// End is the class time at which the cue is over.
func (c *Cue) End() time.Duration { return c.Start + c.Length }

// A List is every cue of a class in the order of their starts.
type List struct {
	// Title is what the track is called: the class's own title, and what else a
	// listener should know ("draft").
	Title string
	Class *class.Class
	Book  *phrase.Book
	Cues  []Cue
	// Problems are those found while the list was made.
	Problems []problem.Problem
}

// The lengths of the count's tones, as in the hourly time signal: five pips of
// a tenth of a second and one of half a second, which starts on the hour
// (testdata/reference/time_signal).
const (
	ShortTone = 100 * time.Millisecond
	LongTone  = calls.LongTone
)

// A Voice tells how long a sentence takes and speaks it.
type Voice interface {
	// Measure tells how long a text takes. missing lists the words it has no recording for;
	// the lengths are then estimates.
	Measure(text string) (s Spoken, missing []string)
	// Select chooses the recordings a text is spoken with, taking turns among
	// the takes of a recording. It is called in the order of the sounds.
	Select(text string) Takes
}

// Spoken is how long a sentence takes at most, whichever takes are used.
type Spoken struct {
	Length time.Duration
	// Words are the words of the text in their order, and When tells for each
	// when it begins, from the sentence's start.
	Words []string
	When  []Span
	// Beat is the latest moment at which the beat of the first recording falls.
	Beat time.Duration
}

// A Span is an earliest and a latest time, over the takes that may be used.
type Span struct{ From, To time.Duration }

// A Takes is a sentence with its takes chosen.
type Takes struct {
	Length time.Duration
	Beat   time.Duration // when the beat of its first recording falls
	Clips  []string
}

// Estimate is the length of a text at the rate of ordinary speech.
func Estimate(text string) Spoken {
	s := Spoken{Words: words.Of(text)}
	for i := range s.Words {
		at := calls.Word * time.Duration(i)
		s.When = append(s.When, Span{at, at})
	}
	s.Length = calls.Estimate(text)
	return s
}
