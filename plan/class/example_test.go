package class_test

import (
	"fmt"

	"cuewright/plan"
	"cuewright/plan/class"
	"cuewright/plan/units"
)

func ExampleOptions_Unfold() {
	p, _ := plan.Read("x.yaml", []byte("class: Low Tide\nunits: km/h\nmain: [{sets: 3, segments: [{speed: [8, 11], for: 60s}]}]\n"))
	c, _ := class.Options{Level: class.Progressive, Units: units.Mph}.Unfold(p)
	fmt.Println(c.Title())
	for _, s := range c.Segments {
		fmt.Println(s.Name(), c.Units.FormatRange(s.Target.Speed))
	}
	// Output:
	// Low Tide, progressive, mph
	// main, set 1 of 3 5
	// main, set 2 of 3 5.9
	// main, set 3 of 3 6.8
}
