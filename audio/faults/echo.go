package faults

import "time"

// A room is heard by how slowly the last sound dies away. One long s does the
// same, so it takes several recordings to tell. All figures were measured for
// this project.
const (
	echoHighPass = 150.0 // Hz
	echoFrom     = -10.0 // dB re the strongest sounds, from the last such frame
	echoTo       = -30.0 // to the first one under this
	echoLimit    = 300 * time.Millisecond
)

func echo(r *recording) []Fault {
	db := levels(r.highPassed(echoHighPass), r.rate, frameTime, hopTime)
	top := meanOfLoudest(db)
	last := 0
	for i, v := range db {
		if v > top+echoFrom {
			last = i
		}
	}
	for i, v := range db[last:] {
		if v >= top+echoTo {
			continue
		}
		if decay := time.Duration(i) * hopTime; decay > echoLimit {
			return []Fault{{Echo, Warning, decay.Seconds(), echoLimit.Seconds(), "s to die away",
				"the room echoes: record among soft things, such as curtains, clothes or cushions"}}
		}
		return nil
	}
	return nil // the noise is too strong to tell
}
