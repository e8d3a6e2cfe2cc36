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
	// de eine Minute fünfzehn Sekunden
	// en one minute fifteen seconds
	// es un minuto y quince segundos
	// fr une minute quinze secondes
}
