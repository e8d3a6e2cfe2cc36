package report

import (
	"cuewright/audio"
	"cuewright/cues/script"
	"cuewright/plan/class"
	"cuewright/plan/units"
	"fmt"
	"io"
)

// ScriptJSON is the promised form of a script for programs: first is a frame of the track.
func ScriptJSON(s script.Script, classes []*class.Class) any {
	type item struct {
		Text    string  `json:"text"`
		Uses    int     `json:"uses"`
		First   int64   `json:"first"`
		Longest float64 `json:"longest"`
	}
	type phrase struct {
		Text  string `json:"text"`
		Uses  int    `json:"uses"`
		Joins int    `json:"joins"`
	}
	out := struct {
		Recorded int      `json:"recorded"`
		Missing  []item   `json:"missing"`
		Phrases  []phrase `json:"phrases"`
	}{s.Recorded, []item{}, []phrase{}}
	for _, m := range s.Missing {
		c := classes[m.Class]
		start, _ := c.TrackSpan()
		out.Missing = append(out.Missing, item{m.Text, m.Uses, audio.Rate(c.Plan.Track.Rate.Value).Frame(start + m.First), m.Longest.Seconds()})
	}
	for _, p := range s.Phrases {
		out.Phrases = append(out.Phrases, phrase(p))
	}
	return out
}

// Script writes what to record as two tables.
func Script(w io.Writer, s script.Script) error {
	var err error
	line := func(format string, args ...any) {
		if err == nil {
			_, err = fmt.Fprintf(w, format, args...)
		}
	}
	line("%s\n", coverage(s.Recorded, len(s.Missing)))
	if len(s.Missing) > 0 {
		line("\ncalls  first at  at most  text\n")
		for _, m := range s.Missing {
			longest := ""
			if m.Longest > 0 {
				longest = fmt.Sprintf("%.1f s", m.Longest.Seconds())
			}
			line("%5d  %8s  %7s  %s\n", m.Uses, units.FormatClock(m.First), longest, m.Text)
		}
	}
	if len(s.Phrases) > 0 {
		line("\nBetter whole than joined:\n\ncalls  joins  text\n")
		for _, p := range s.Phrases {
			line("%5d  %5d  %s\n", p.Uses, p.Joins, p.Text)
		}
	}
	return err
}

// coverage tells how much of what is needed a voice has.
func coverage(recorded, missing int) string {
	needed := recorded + missing
	switch {
	case missing == 0:
		return fmt.Sprintf("Nothing is missing: the voice has all %d texts that are needed.", needed)
	case recorded == 0:
		return fmt.Sprintf("The voice has none of the %d texts that are needed. The most useful first:", needed)
	case missing == 1:
		return fmt.Sprintf("The voice has %d of the %d texts that are needed. One is missing:", recorded, needed)
	}
	return fmt.Sprintf("The voice has %d of the %d texts that are needed, %d are missing. The most useful first:", recorded, needed, missing)
}
