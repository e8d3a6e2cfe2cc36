package show

import (
	"fmt"
	"io"
	"strings"

	"cuewright/plan"
	"cuewright/plan/class"
	"cuewright/plan/class/effort"
	"cuewright/plan/units"
)

// A line is a row of the table, cell by cell, or the heading of a part.
type line struct {
	heading string
	cells   [9]string
}

// margin is before the first cell.
const margin = 2

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

// pace writes a target's speed, or how it feels.
func pace(u units.Unit, t class.Target) string {
	if t.ByFeel {
		return "feel " + t.RPE.String()
	}
	return u.FormatRange(t.Speed)
}

// targetCells are the targets of a row as they are dialled: speed or feel, incline,
// steps a minute. Where the speed climbs from set to set, it is that of the first and
// the last.
func targetCells(u units.Unit, r row) (speed, incline, steps string) {
	t := r.segment.Target
	speed = pace(u, t)
	if last := pace(u, r.last.Target); last != speed {
		speed += "→" + strings.TrimPrefix(last, "feel ")
	}
	if t.HasIncline {
		incline = units.FormatTenths(t.Incline) + " %"
	}
	if t.Cadence > 0 {
		steps = units.FormatTenths(t.Cadence)
	}
	return speed, incline, steps
}

// table writes a line a segment under the heading of its part, a block of sets once.
func table(out io.Writer, c *class.Class, mass effort.Mass) {
	u := c.Units
	head := line{cells: [9]string{"clock", "", "for", "segment", string(u), "incline", "steps", "METs", "kcal"}}
	lines := []line{head}
	part := plan.Part("")
	for _, r := range fold(c) {
		s := r.segment
		if s.Part != part {
			part = s.Part
			lines = append(lines, line{heading: fmt.Sprintf("%s %s", part, units.FormatLength(partLength(c, part)))})
		}
		var l line
		l.cells[clockCell], l.cells[setsCell] = r.clock, r.sets
		l.cells[forCell], l.cells[nameCell] = units.FormatLength(s.Length), segmentName(s)
		l.cells[speedCell], l.cells[inclineCell], l.cells[stepsCell] = targetCells(u, r)
		// A climb from set to set goes from the first at its slow end to the last.
		e, last := effort.Of(u, s, mass), effort.Of(u, r.last, mass)
		l.cells[metsCell] = "–"
		if e.Known() && last.Known() {
			l.cells[metsCell] = bothEnds("%.1f", effort.Ends[float64]{Low: e.METs().Low, High: last.METs().High})
			if mass > 0 {
				l.cells[kcalCell] = bothEnds("%.0f", effort.Ends[float64]{Low: e.Kcal.Low, High: last.Kcal.High})
			}
		}
		lines = append(lines, l)
	}
	widths, gap := measure(lines)
	for _, l := range lines {
		if l.heading != "" {
			fmt.Fprintln(out, l.heading)
			continue
		}
		var text strings.Builder
		for i, cell := range l.cells {
			if widths[i] > 0 {
				text.WriteString(pad(clip(cell, widths[i]), widths[i], rightCells[i]) + gap)
			}
		}
		fmt.Fprintln(out, strings.Repeat(" ", margin)+strings.TrimRight(text.String(), " "))
	}
}

// measure returns the width of each cell, 0 for those that are empty in all lines.
// Where the lines would be too wide the names are cut, after them the kilocalories
// left out, which stand in the totals, and last the gap between cells is narrowed.
func measure(lines []line) (widths [9]int, gap string) {
	gap = "  "
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
				sum += w + len(gap)
			}
		}
		return sum + margin - len(gap) - showWidth
	}
	const minName = 6
	if o := over(); o > 0 {
		widths[nameCell] = max(min(minName, widths[nameCell]), widths[nameCell]-o)
	}
	if over() > 0 {
		widths[kcalCell] = 0
	}
	if over() > 0 {
		gap = " "
	}
	return widths, gap
}

// A row is a segment that is drawn, with what stands before it.
type row struct {
	segment     *class.Segment // of a block, in its first set
	last        *class.Segment // in its last
	clock, sets string
}

// fold keeps of each block its first set and what stands between, held together
// by a bracket.
func fold(c *class.Class) []row {
	var rows []row
	for i := 0; i < len(c.Segments); {
		s := &c.Segments[i]
		if s.Sets < 2 {
			rows = append(rows, row{segment: s, last: s, clock: units.FormatLength(s.Start)})
			i++
			continue
		}
		from := len(rows)
		for ; i < len(c.Segments) && c.Segments[i].Block == s.Block; i++ {
			x := &c.Segments[i]
			for k := from; k < len(rows); k++ {
				if rows[k].segment.Pos == x.Pos {
					rows[k].last = x
				}
			}
			if x.Set == 1 {
				r := row{segment: x, last: x, clock: units.FormatLength(x.Start), sets: "│"}
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
