package words_test

import (
	"fmt"
	"strings"

	"cuewright/audio/words"
)

func ExampleOf() {
	fmt.Println(strings.Join(words.Of("Set 2: don’t stop, 5.5 km/h!"), "|"))
	// Output: set|2|dont|stop|5.5|km|h
}
