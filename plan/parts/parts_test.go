package parts_test

import (
	"fmt"

	"cuewright/plan/parts"
	"cuewright/plan/strict"
)

// Sets in sets, as written and as they are run.
func ExampleParts_Unfolded() {
	var p parts.Parts
	strict.Decode([]byte(`
main:
  - sets: 2
    segments:
      - sets: 2
        segments: [{effort: push, for: 60s}]
        between: [{effort: float, for: 30s}]
    between: [{effort: jog, for: 2m}]
`), &p, new(strict.Reader))
	for at := range p.Written {
		fmt.Println(at.Segment.Effort.Value, at.Runs())
	}
	for at := range p.Unfolded {
		fmt.Print(at.Segment.Effort.Value)
		for _, loop := range at.Loops {
			fmt.Print(" ", loop.Set)
		}
		fmt.Print("; ")
	}
	// Output:
	// push 2
	// float 1
	// jog 1
	// push 1 1; float 1 1; push 1 2; jog 1; push 2 1; float 2 1; push 2 2;
}
