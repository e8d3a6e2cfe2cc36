package plan_test

import (
	"fmt"

	"cuewright/plan"
	"cuewright/plan/class"
)

func ExampleRead() {
	p, problems := plan.Read("low-tide.yaml", []byte(`class: Low Tide
units: km/h
main:
  - {speed: 8, for: 2m}
  - {speed: [9, 11], for: 90s}
`))
	fmt.Println(p.Class.Value, problems)
	c, _ := class.Unfold(p)
	for _, s := range c.Segments {
		fmt.Println(s.Start, s.Length, c.Units.FormatRange(s.Target.Speed))
	}
	_, problems = plan.Read("low-tide.yaml", []byte("class: Low Tide\nunits: km/h\nmain: [{sped: 8, for: 2m}]\n"))
	fmt.Println(problems[0])
	// Output:
	// Low Tide []
	// 0s 2m0s 8
	// 2m0s 1m30s 9–11
	// low-tide.yaml:3:8: error: the segment has no effort, no speed and no feel: give one of them
}
