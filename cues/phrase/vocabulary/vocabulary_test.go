package vocabulary

import (
	"slices"
	"testing"

	"cuewright/audio/words"
	"cuewright/cues/kind"
	"cuewright/cues/phrase"
)

// TestOf: every word that a book can say is there, and no key of it.
func TestOf(t *testing.T) {
	for _, tag := range phrase.Languages() {
		book, _ := phrase.ForLanguage(tag)
		texts := Of(book)
		has := map[string]bool{}
		for _, text := range texts {
			for _, w := range words.Of(text) {
				has[w] = true
			}
		}
		said := book.NumberWords()
		for _, s := range kind.Sentences() {
			for _, w := range book.Wordings(s.Key) { // those without a slot
				said = append(said, words.Of(w.Text)...)
			}
		}
		for _, r := range book.Reminders {
			said = append(said, words.Of(r.Text.Value)...)
		}
		for _, w := range said {
			if !has[w] {
				t.Errorf("%s: the word %q is missing", tag, w)
			}
		}
		for _, key := range []string{"now-part", "21"} {
			if slices.Contains(texts, key) {
				t.Errorf("%s: %q is not spoken", tag, key)
			}
		}
	}
}
