package units_test

import (
	"fmt"
	"time"

	"cuewright/plan/units"
)

func ExampleUnit_Convert() {
	pace := units.MinKm.Convert(units.MinMile, 270)
	fmt.Println(units.MinKm.Format(270), "for a kilometre is", units.MinMile.Format(pace), "for a mile")
	// Output: 4:30 for a kilometre is 7:15 for a mile
}

func ExampleFormatClock() {
	fmt.Println(units.FormatClock(-20*time.Second), units.FormatClock(75*time.Second+250*time.Millisecond), units.FormatLength(90*time.Minute))
	// Output: -00:20.0 01:15.2 1:30:00
}
