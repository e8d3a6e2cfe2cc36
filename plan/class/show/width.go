package show

import (
	"strings"
	"unicode"

	"golang.org/x/text/width"
)

// columns is how many columns of a terminal a text takes: two for a wide letter
// (Unicode Standard Annex 11), none for a mark over another letter.
func columns(s string) int {
	n := 0
	for _, r := range s {
		switch {
		case unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf):
		case width.LookupRune(r).Kind() == width.EastAsianWide, width.LookupRune(r).Kind() == width.EastAsianFullwidth:
			n += 2
		default:
			n++
		}
	}
	return n
}

// cut returns the beginning of a text that takes at most so many columns, two or more.
func cut(s string, most int) string {
	n := 0
	for i, r := range s {
		if n += columns(string(r)); n > most {
			return s[:i]
		}
	}
	return s
}

// clip cuts a text to at most so many columns, with a mark where it was cut.
func clip(s string, most int) string {
	if columns(s) <= most {
		return s
	}
	return cut(s, most-1) + "…"
}

// pad fills a text up with spaces, on the right, or on the left.
func pad(s string, to int, right bool) string {
	space := strings.Repeat(" ", max(0, to-columns(s)))
	if right {
		return space + s
	}
	return s + space
}

// wrap breaks a text into lines of at most so many columns, inside a word only
// where the word alone is longer.
func wrap(text string, most int) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(text) {
		if line != "" && columns(line)+1+columns(word) > most {
			lines = append(lines, line)
			line = ""
		}
		if line != "" {
			line += " "
		}
		for columns(word) > most {
			head := cut(word, most)
			lines, word = append(lines, head), word[len(head):]
		}
		line += word
	}
	return append(lines, line)
}
