package phrase_test

import (
	"fmt"
	"time"

	"cuewright/cues/phrase"
)

func ExampleBook_Time() {
	for _, tag := range phrase.Languages() {
		book, _ := phrase.ForLanguage(tag)
		text, _ := book.Time(75 * time.Second)
		fmt.Println(tag, text)
	}
	// Output:
	// de fünfundsiebzig Sekunden
	// en seventy five seconds
	// es setenta y cinco segundos
	// fr soixante-quinze secondes
}
