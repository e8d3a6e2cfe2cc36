// Package words splits a text into the words that recordings are named by: one way for
// sentences, file names and sentence books, so that what one finds the others find too.
package words

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// A Word is one word of a text.
type Word struct {
	Text string
	// Gap are the runes between the word before and this one: spaces and punctuation.
	Gap string
}

// Of returns the words of a text as recordings and sentences are compared: lower case,
// Unicode NFC, apostrophes dropped, parted at spaces, hyphens, dashes, underscores,
// quotes, brackets and punctuation. A comma, full stop or colon between two digits
// belongs to its word ("5.5", "1:30"). Symbols such as % stay in their word, so that a
// text with one is never taken for the text without. A text without words gives nil.
func Of(text string) []string {
	var out []string
	for _, w := range Split(text) {
		out = append(out, w.Text)
	}
	return out
}

// Fold returns the words of a text with one space between them, to compare texts by.
func Fold(text string) string { return strings.Join(Of(text), " ") }

// Find returns the index of the word of text at which the words of part first stand, -1
// where they do not.
func Find(text, part []string) int {
next:
	for i := 0; i+len(part) <= len(text); i++ {
		for k, w := range part {
			if text[i+k] != w {
				continue next
			}
		}
		return i
	}
	return -1
}

// Split returns the words of a text as Of does, with what stands between them.
func Split(text string) []Word {
	var (
		out      []Word
		now, gap strings.Builder
		last     rune
	)
	end := func() {
		if now.Len() > 0 {
			word := now.String()
			if !ascii(word) { // a capital may have another form than its small letter
				word = norm.NFC.String(word)
			}
			out = append(out, Word{word, gap.String()})
			now.Reset()
			gap.Reset()
			last = 0
		}
	}
	if !ascii(text) { // of letters alone nothing is to be normalised
		// Behind bytes that are no UTF-8 nothing would be normalised.
		text = norm.NFC.String(strings.ToValidUTF8(text, string(unicode.ReplacementChar)))
	}
	runes := []rune(text)
	for i, r := range runes {
		switch {
		case dropped(r):
		case inNumber(runes, i, last) || !parts(r):
			r = unicode.ToLower(r)
			now.WriteRune(r)
			last = r
		default:
			end()
			gap.WriteRune(r)
		}
	}
	end()
	return out
}

func ascii(text string) bool {
	for i := range len(text) {
		if text[i] >= utf8.RuneSelf {
			return false
		}
	}
	return true
}

// dropped reports runes that are written but neither spoken nor a gap: the
// apostrophes in use, and invisible ones such as the soft hyphen.
func dropped(r rune) bool {
	switch r {
	case '\'', '’', '‘', 'ʼ', '＇', '`':
		return true
	}
	return r >= utf8.RuneSelf && unicode.Is(unicode.Cf, r)
}

// parts reports runes that stand between words.
func parts(r rune) bool {
	switch r {
	case '.', ',', ':', ';', '!', '?', '…', '"', '/', '\\', '¿', '¡':
		return true
	}
	if 'a' <= r && r <= 'z' || '0' <= r && r <= '9' {
		return false
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
