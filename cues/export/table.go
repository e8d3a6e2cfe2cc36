package export

import (
	"fmt"
	"io"
	"strings"

	"cuewright/plan"
	"cuewright/plan/effort"
)

// A line is a row of the table, cell by cell, or the heading of a part.
type line struct {
	heading string
	cells   [9]string
}

// The cells of a line.
const (
	clockCell = iota
	setsCell  // how often, and the bracket that holds a set together
	forCell
	nameCell
	speedCell
	inclineCell
	stepsCell
	metsCell
	kcalCell
)

// rightCells are aligned at their right end.
var rightCells = [9]bool{clockCell: true, setsCell: true, forCell: true, inclineCell: true, stepsCell: true, metsCell: true, kcalCell: true}

// targetCells are a target as it is dialled: speed in the plan's units, incline,
// steps a minute. A target without a speed is run by feel.
func targetCells(u plan.Units, t plan.Target) (speed, incline, steps string) {
	speed = "by feel"
	if t.Speed.High != 0 {
		speed = u.FormatRange(t.Speed)
	}
	if t.Graded {
		incline = plan.FormatTenths(t.Incline) + " %"
	}
	if t.Cadence > 0 {
		steps = plan.FormatTenths(t.Cadence)
	}
	return speed, incline, steps
}

// table writes a line a segment under the heading of its part, a block of sets once.
func table(out io.Writer, c *plan.Class, mass effort.Mass) {
	u := c.Plan.In()
	head := line{cells: [9]string{"clock", "", "for", "segment", string(u), "incline", "steps", "METs", "kcal"}}
	lines := []line{head}
	part := plan.Part("")
	for _, r := range fold(c) {
		s := r.segment
		if s.Part != part {
			part = s.Part
			lines = append(lines, line{heading: fmt.Sprintf("%s %s", part, plan.Minutes(partLength(c, part)))})
		}
		var l line
		l.cells[clockCell], l.cells[setsCell] = r.clock, r.sets
		l.cells[forCell], l.cells[nameCell] = plan.Minutes(s.Length), segmentName(s)
		l.cells[speedCell], l.cells[inclineCell], l.cells[stepsCell] = targetCells(u, s.Target)
		e := effort.Of(u, s, mass)
		l.cells[metsCell] = "–"
		if e.Known() {
			l.cells[metsCell] = ends("%.1f", e.METs())
			if mass > 0 {
				l.cells[kcalCell] = ends("%.0f", e.Kcal)
			}
		}
		lines = append(lines, l)
	}
	widths := measure(lines)
	for _, l := range lines {
		if l.heading != "" {
			fmt.Fprintln(out, l.heading)
			continue
		}
		var text strings.Builder
		for i, cell := range l.cells {
			if widths[i] > 0 {
				text.WriteString(pad(clip(cell, widths[i]), widths[i], rightCells[i]) + "  ")
			}
		}
		fmt.Fprintln(out, "  "+strings.TrimRight(text.String(), " "))
	}
}

// measure returns the width of each cell, 0 for those that are empty in all lines.
// Where the lines would be too wide the names are cut, and after them the
// kilocalories left out, which stand in the totals.
func measure(lines []line) [9]int {
	var widths [9]int
	for _, l := range lines[1:] {
		for i, cell := range l.cells {
			widths[i] = max(widths[i], columns(cell))
		}
	}
	for i, cell := range lines[0].cells {
		if widths[i] > 0 {
			widths[i] = max(widths[i], columns(cell))
		}
	}
	over := func() int {
		sum := 0
		for _, w := range widths {
			if w > 0 {
				sum += w + 2
			}
		}
		return sum - showWidth // the margin of 2 stands for the last gap
	}
	const leastName = 6
	if o := over(); o > 0 {
		widths[nameCell] = max(min(leastName, widths[nameCell]), widths[nameCell]-o)
	}
	if over() > 0 {
		widths[kcalCell] = 0
	}
	return widths
}

// A row is a segment that is drawn, with what stands before it.
type row struct {
	segment     *plan.Segment
	clock, sets string
}

// fold keeps of each block its first set and what stands between, held together
// by a bracket.
func fold(c *plan.Class) []row {
	var rows []row
	for i := 0; i < len(c.Segments); {
		s := &c.Segments[i]
		if s.Sets < 2 {
			rows = append(rows, row{segment: s, clock: plan.Minutes(s.Start)})
			i++
			continue
		}
		from := len(rows)
		for ; i < len(c.Segments) && c.Segments[i].Block == s.Block; i++ {
			if x := &c.Segments[i]; x.Set == 1 {
				r := row{segment: x, clock: plan.Minutes(x.Start), sets: "│"}
				if x.Between {
					r.clock = "between"
				}
				rows = append(rows, r)
			}
		}
		last := &rows[len(rows)-1]
		last.sets = "╯"
		first := &rows[from]
		first.sets = fmt.Sprintf("%d x ╮", s.Sets)
		if first == last {
			first.sets = fmt.Sprintf("%d x ╶", s.Sets)
		}
	}
	return rows
}
