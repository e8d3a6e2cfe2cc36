package voice

import (
	"strings"
	"time"
	"unicode"

	"golang.org/x/text/unicode/norm"
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

// Words cuts a text into words as recordings and sentences are compared: lower
// case, Unicode NFC, apostrophes dropped, parted at spaces, hyphens, dashes,
// underscores, quotes, brackets and punctuation. A comma, full stop or colon
// between two digits belongs to its word ("5.5", "1:30"). Symbols such as % stay
// in their word, so that a text with one is never taken for the text without.
// Text without words gives nil.
func Words(text string) []string {
	var out []string
	for _, w := range split(text) {
		out = append(out, w.text)
	}
	return out
}

// split is Words with the pauses.
func split(text string) []word {
	var (
		out   []word
		now   strings.Builder
		last  rune
		pause time.Duration
	)
	end := func() {
		if now.Len() == 0 {
			return
		}
		if len(out) == 0 {
			pause = 0
		}
		out = append(out, word{norm.NFC.String(now.String()), pause})
		now.Reset()
		last, pause = 0, 0
	}
	// Behind bytes that are no UTF-8 nothing would be normalised.
	runes := []rune(norm.NFC.String(strings.ToValidUTF8(text, string(unicode.ReplacementChar))))
	for i, r := range runes {
		switch {
		case dropped(r):
		case inNumber(runes, i, last) || !parts(r):
			r = unicode.ToLower(r)
			now.WriteRune(r)
			last = r
		default:
			end()
			pause = max(pause, pauseAt(r))
		}
	}
	end()
	return out
}

// dropped reports runes that are written but neither spoken nor a gap: the
// apostrophes in use, and invisible ones such as the soft hyphen.
func dropped(r rune) bool {
	switch r {
	case '\'', '’', '‘', 'ʼ', '＇', '`':
		return true
	}
	return unicode.Is(unicode.Cf, r)
}

// parts reports runes that stand between words.
func parts(r rune) bool {
	switch r {
	case '.', ',', ':', ';', '!', '?', '…', '"', '/', '\\', '¿', '¡':
		return true
	}
	return unicode.In(r, unicode.Z, unicode.Cc, unicode.Pd, unicode.Pc, unicode.Ps, unicode.Pe, unicode.Pi, unicode.Pf)
}

// inNumber reports a point, comma or colon with a digit on both sides.
func inNumber(runes []rune, i int, last rune) bool {
	switch runes[i] {
	case '.', ',', ':':
		return unicode.IsDigit(last) && i+1 < len(runes) && unicode.IsDigit(runes[i+1])
	}
	return false
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

// fold gives a text as recordings are indexed by it: its words with one space
// between them.
func fold(text string) string { return strings.Join(Words(text), " ") }
