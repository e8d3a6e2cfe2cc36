package export

import (
	"bufio"
	"fmt"
	"io"
	"strings"
	"time"
	"unicode/utf8"

	"cuewright/plan"
)

// Show draws a class as a coach would: its parts, the sets folded, clock, length
// and targets of each segment, the totals, and the cautions.
func Show(w io.Writer, c *plan.Class) error {
	out := bufio.NewWriter(w)
	p := c.Plan
	title := p.Class.Value
	if p.Coach.Value != "" {
		title += " · " + p.Coach.Value
	}
	fmt.Fprintf(out, "%s\n%s\n\n", title, Summary(c))
	table(out, c)
	fmt.Fprintf(out, "\n%s\n\n", Totals(c))
	for _, line := range plan.Cautions {
		for _, l := range wrap(line, 76) {
			fmt.Fprintln(out, l)
		}
	}
	return out.Flush()
}

// Summary tells how long a class is: "25:00 in 15 segments, the track 25:28 with
// opening and closing".
func Summary(c *plan.Class) string {
	_, track := c.Frames()
	return fmt.Sprintf("%s in %d segments, the track %s with opening and closing",
		plan.Minutes(c.Length), len(c.Segments), plan.Minutes(track))
}

// Totals tells how long each part of a class is: "warm-up 5:00 · main 14:00".
func Totals(c *plan.Class) string {
	var totals []string
	for _, part := range []plan.Part{plan.WarmUp, plan.Main, plan.CoolDown} {
		var sum time.Duration
		for i := range c.Segments {
			if c.Segments[i].Part == part {
				sum += c.Segments[i].Length
			}
		}
		if sum > 0 {
			totals = append(totals, fmt.Sprintf("%s %s", part, plan.Minutes(sum)))
		}
	}
	return strings.Join(totals, " · ")
}

// table writes one line a segment, a block of sets once.
func table(out io.Writer, c *plan.Class) {
	u := c.Plan.In()
	graded, paced, name := false, false, len("segment")
	for i := range c.Segments {
		s := &c.Segments[i]
		graded = graded || s.Target.Graded
		paced = paced || s.Target.Cadence > 0
		name = max(name, utf8.RuneCountInString(segmentName(s)))
	}
	line := func(cells ...string) {
		text := cells[0] + strings.Repeat(" ", max(0, 9-utf8.RuneCountInString(cells[0])))
		text += fmt.Sprintf("  %8s  %7s  ", cells[1], cells[2])
		text += cells[3] + strings.Repeat(" ", max(0, name-utf8.RuneCountInString(cells[3])))
		text += "  " + cells[4] + strings.Repeat(" ", max(0, 11-utf8.RuneCountInString(cells[4])))
		if graded {
			text += fmt.Sprintf("  %7s", cells[5])
		}
		if paced {
			text += fmt.Sprintf("  %9s", cells[6])
		}
		fmt.Fprintln(out, strings.TrimRight(text+"  "+cells[7], " "))
	}
	line("", "clock", "for", "segment", string(u), "incline", "steps/min", "")
	part := plan.Part("")
	folded := fold(c)
	for _, row := range folded {
		s := row.segment
		first := ""
		if s.Part != part {
			part, first = s.Part, string(s.Part)
		}
		clock := plan.Minutes(s.Start)
		if s.Between {
			clock = ""
		}
		incline, cadence := "", ""
		if s.Target.Graded {
			incline = plan.FormatTenths(s.Target.Incline) + " %"
		}
		if s.Target.Cadence > 0 {
			cadence = plan.FormatTenths(s.Target.Cadence)
		}
		line(first, clock, plan.Minutes(s.Length), segmentName(s), u.FormatRange(s.Target.Speed), incline, cadence, row.note)
	}
}

func segmentName(s *plan.Segment) string {
	if s.Effort == "" {
		return "–"
	}
	return s.Effort
}

type row struct {
	segment *plan.Segment
	note    string // the bracket that holds a set together
}

// fold keeps of each block its first set and what stands between.
func fold(c *plan.Class) []row {
	var rows []row
	for i := 0; i < len(c.Segments); {
		s := &c.Segments[i]
		if s.Sets < 2 {
			rows = append(rows, row{segment: s})
			i++
			continue
		}
		from := len(rows)
		for ; i < len(c.Segments) && c.Segments[i].Block == s.Block; i++ {
			if c.Segments[i].Set == 1 {
				rows = append(rows, row{segment: &c.Segments[i]})
			}
		}
		for k := from; k < len(rows); k++ {
			bracket := "│"
			switch {
			case len(rows)-from == 1:
				bracket = "╶"
			case k == from:
				bracket = "╮"
			case k == len(rows)-1:
				bracket = "╯"
			}
			if k == from {
				bracket += fmt.Sprintf(" %d x", s.Sets)
			}
			if rows[k].segment.Between {
				bracket += " between sets"
			}
			rows[k].note = bracket
		}
	}
	return rows
}

// wrap breaks a text into lines of at most width characters.
func wrap(text string, width int) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(text) {
		if line != "" && utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) > width {
			lines = append(lines, line)
			line = ""
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	return append(lines, line)
}
