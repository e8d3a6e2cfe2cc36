package export

import (
	"encoding/csv"
	"fmt"
	"io"
	"time"

	"cuewright/audio"
	"cuewright/cues"
	"cuewright/plan/units"
)

// Columns are the columns of the CSV form of a list: start and end in seconds
// of the track with three decimals; the clock is for the eye only.
var Columns = []string{"start", "end", "clock", "lane", "kind", "text"}

// CSV writes a list for spreadsheets.
func CSV(w io.Writer, l *cues.List) error {
	out := csv.NewWriter(w)
	out.Write(Columns) // errors stay with the writer, Error returns the first
	for i := range l.Cues {
		c := &l.Cues[i]
		from, to := Milliseconds(l, c)
		out.Write([]string{Seconds(from), Seconds(to), units.FormatClock(c.Start), string(c.Lane), string(c.Kind), c.Text})
	}
	out.Flush()
	return out.Error()
}

// Milliseconds returns when a cue sounds in whole milliseconds of the track,
// rounded half up from its frames; the end comes after the start.
func Milliseconds(l *cues.List, c *cues.Cue) (from, to int64) {
	rate := audio.Rate(l.Class.Plan.Track.Rate.Value)
	start, _ := l.Class.TrackSpan()
	round := func(t time.Duration) int64 {
		f := rate.Frame(t)
		return (f*2000 + int64(rate)) / (2 * int64(rate))
	}
	from = round(start + c.Start)
	return from, max(from+1, round(start+c.End()))
}

// Seconds writes milliseconds as decimal seconds.
func Seconds(ms int64) string { return fmt.Sprintf("%d.%03d", ms/1000, ms%1000) }
