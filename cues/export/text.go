package export

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"cuewright/cues"
	"cuewright/plan/class/show"
	"cuewright/plan/units"
)

// Text writes a list to be read: each segment under a rule with its targets, a
// call a line with its class time and length, each count on one line.
func Text(w io.Writer, l *cues.List) error {
	out := bufio.NewWriter(w)
	c := l.Class
	calls := 0
	for i := range l.Cues {
		if l.Cues[i].Lane == cues.Speech {
			calls++
		}
	}
	fmt.Fprintf(out, "%s\n%s in %d segments, %d calls\n", l.Title, units.FormatLength(c.Length), len(c.Segments), calls)
	rule(out, "opening", "", "")
	next := 0
	var count []string
	for i := range l.Cues {
		q := &l.Cues[i]
		if q.Lane == cues.CountLane {
			count = append(count, q.Text)
			if !q.Long {
				continue
			}
			fmt.Fprintf(out, "%9s          %-9s %s\n", units.FormatClock(q.Mark), q.Kind, strings.Join(count, " · "))
			count = nil
			for next < len(c.Segments) && c.Segments[next].Start <= q.Mark {
				s := &c.Segments[next]
				rule(out, s.Name(), units.FormatLength(s.Length), show.TargetText(c.Units, s.Target))
				next++
			}
			if q.Mark >= c.Length {
				rule(out, "closing", "", "")
			}
			continue
		}
		fmt.Fprintf(out, "%9s  %5.1f s  %-9s %s\n", units.FormatClock(q.Start), q.Length.Seconds(), q.Kind, q.Text)
	}
	return out.Flush()
}

// rule writes the line above a stretch.
func rule(out io.Writer, name, length, targets string) {
	line := "\n── " + name
	for _, s := range []string{length, targets} {
		if s != "" {
			line += " ── " + s
		}
	}
	fmt.Fprintln(out, line)
}
