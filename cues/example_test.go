package cues_test

import (
	"fmt"

	"cuewright/cues"
	"cuewright/cues/phrase"
	"cuewright/plan"
	"cuewright/plan/class"
	"cuewright/plan/units"
)

func ExampleSchedule() {
	p, _ := plan.Read("x.yaml", []byte("class: Low Tide\nunits: km/h\nmain: [{speed: 8, for: 30s}]\ncalls: {reminders: 0s}\n"))
	c, _ := class.Unfold(p)
	for _, q := range cues.Schedule(c, phrase.English(), brisk()).Cues {
		if q.Lane == cues.Speech {
			fmt.Println(units.FormatClock(q.Start), q.Kind, q.Text)
		}
	}
	// Output:
	// -00:19.6 welcome welcome to Low Tide
	// -00:17.6 safety clip the safety key on. set your numbers on the long tone. if you are unsure, step to the sides
	// -00:11.0 ahead first, speed eight
	// 00:00.6 confirm speed eight
	// 00:01.8 now for thirty seconds
	// 00:10.0 ahead in twenty seconds, slow down, and stay on until the belt has stopped
	// 00:20.0 left ten seconds left
	// 00:30.6 finish well done. stay on until the belt has stopped
}
