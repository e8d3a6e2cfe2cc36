package voice

import (
	"cuewright/audio/words"
	"time"
)

// The silences between the recordings of a sentence, from the end of speech in
// one to the start of speech in the next. Pauses in studio recordings of whole
// prompts have medians of 134 to 327 ms at commas and 167 to 327 ms at full
// stops; a recorded word brings its own decay, so joins inside a phrase need
// little more and joins inside a number nothing (measured for this project).
const (
	// PauseTight parts two words of one number ("twenty" "five").
	PauseTight time.Duration = 0
	// PauseWord parts two recordings within a phrase.
	PauseWord = 30 * time.Millisecond
	// PauseComma stands at a comma, colon or semicolon.
	PauseComma = 190 * time.Millisecond
	// PauseStop stands at a full stop, question mark or exclamation mark.
	PauseStop = 380 * time.Millisecond
)

// A word of a sentence and what stands before it.
type word struct {
	text string
	// The pause that punctuation asks for before this word; 0 where there is
	// none, and before the first word.
	pause time.Duration
}

// split cuts a text into words with the pauses that its punctuation asks for.
func split(text string) []word {
	var out []word
	for i, w := range words.Split(text) {
		pause := time.Duration(0)
		for _, r := range w.Gap {
			pause = max(pause, pauseAt(r))
		}
		if i == 0 {
			pause = 0
		}
		out = append(out, word{w.Text, pause})
	}
	return out
}

func pauseAt(r rune) time.Duration {
	switch r {
	case ',', ':', ';':
		return PauseComma
	case '.', '!', '?', '…':
		return PauseStop
	}
	return 0
}
