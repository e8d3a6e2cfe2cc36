package show

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"cuewright/plan/class"
	"cuewright/plan/class/effort"
	"cuewright/plan/parts"
	"cuewright/plan/units"
)

// A line is a row of the table, cell by cell, or the heading of a part.
type line struct {
	heading string
	cells   [cellCount]string
}

// margin is before the first cell.
const margin = 2

// The cells of a line.
const (
	clockCell = iota
	outerCell // how often sets with sets in them are run, and the bracket that holds one together
	setsCell  // the same of the nearest sets
	forCell
	nameCell
	speedCell
	inclineCell
	stepsCell
	metsCell
	kcalCell
	cellCount
)

// rightCells are aligned at their right end.
var rightCells = [cellCount]bool{clockCell: true, outerCell: true, setsCell: true, forCell: true, inclineCell: true, stepsCell: true, metsCell: true, kcalCell: true}

// pace writes a target's speed, or how it feels.
func pace(u units.Unit, t class.Target) string {
	switch {
	case t.Floor:
		return "floor"
	case t.ByFeel:
		return "feel " + t.RPE.String()
	}
	return u.FormatRange(t.Speed)
}

// targetCells are the targets of a row as they are dialled: speed or feel, incline,
// steps a minute. What changes from set to set is that of the first and that of
// the last.
func targetCells(u units.Unit, r row) (speed, incline, steps string) {
	t, last := r.segment.Target, r.last.Target
	speed = arrow(pace(u, t), strings.TrimPrefix(pace(u, last), "feel "))
	if t.ByFeel {
		speed = arrow("feel "+t.RPE.String(), "feel "+last.RPE.String())
		speed = strings.Replace(speed, "→feel ", "→", 1)
	}
	if t.HasIncline {
		incline = r.over(func(x *class.Segment) int64 { return x.Target.Incline }, units.FormatTenths) + " %"
	}
	if t.Cadence > 0 {
		steps = r.over(func(x *class.Segment) int64 { return x.Target.Cadence }, units.FormatTenths)
	}
	return speed, incline, steps
}

// over writes a number of a row: one that is the same in all sets, from the first to the last where it only rises or only
// falls, else the least and the most.
func (r row) over(number func(*class.Segment) int64, format func(int64) string) string {
	var values []int64
	for _, x := range r.all {
		values = append(values, number(x))
	}
	first, last := values[0], values[len(values)-1]
	falling := slices.Clone(values)
	slices.Reverse(falling)
	if slices.IsSorted(values) || slices.IsSorted(falling) {
		return arrow(format(first), format(last))
	}
	return format(slices.Min(values)) + "–" + format(slices.Max(values))
}

// arrow writes what is so in the first set and what is so in the last.
func arrow(first, last string) string {
	if first == last {
		return first
	}
	return first + "→" + last
}

// table writes a line a segment under the heading of its part, a block of sets once.
func table(out io.Writer, c *class.Class, mass effort.Mass) {
	u := c.Units
	head := line{cells: [cellCount]string{"clock", "", "", "for", "segment", string(u), "incline", "steps", "METs", "kcal"}}
	lines := []line{head}
	part := parts.Part("")
	for _, r := range fold(c) {
		s := r.segment
		if s.Part != part {
			part = s.Part
			lines = append(lines, line{heading: fmt.Sprintf("%s %s", part, units.FormatLength(partLength(c, part)))})
		}
		for _, name := range r.names {
			lines = append(lines, line{heading: strings.Repeat(" ", margin) + clip(name, showWidth-margin)})
		}
		var l line
		l.cells[clockCell], l.cells[outerCell], l.cells[setsCell] = r.clock, r.outer, r.sets
		l.cells[forCell], l.cells[nameCell] = r.over(func(x *class.Segment) int64 { return int64(x.Length) }, func(v int64) string { return units.FormatLength(time.Duration(v)) }), segmentName(s)
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
		if s.Note != "" {
			lines = append(lines, line{heading: clip(strings.Repeat(" ", margin)+"note: "+s.Note, showWidth)})
		}
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
func measure(lines []line) (widths [cellCount]int, gap string) {
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
	if over() > 0 { // the totals have them too
		widths[metsCell] = 0
	}
	return widths, gap
}

// A row is a segment that is drawn, with what stands before it.
type row struct {
	segment            *class.Segment // of a block, in its first set
	last               *class.Segment // in its last
	all                []*class.Segment
	clock, outer, sets string
	names              []string // of the blocks that begin here
}

// fold keeps of each block its first set and what stands between, held together by a bracket, as it is written: sets
// within sets have brackets of their own.
func fold(c *class.Class) []row {
	var rows []row
	top := func(s *class.Segment) int {
		if s.Outer.Block > 0 {
			return s.Outer.Block
		}
		return s.Block
	}
	for i := 0; i < len(c.Segments); {
		from, block := len(rows), top(&c.Segments[i])
		for ; i < len(c.Segments) && (top(&c.Segments[i]) == block && (block > 0 || len(rows) == from)); i++ {
			x := &c.Segments[i]
			if k := rowOf(rows[from:], x); k >= 0 {
				rows[from+k].last, rows[from+k].all = x, append(rows[from+k].all, x)
				continue
			}
			r := row{segment: x, last: x, all: []*class.Segment{x}, clock: units.FormatLength(x.Start)}
			if x.Between {
				r.clock = "between"
			}
			rows = append(rows, r)
		}
		brackets(rows[from:])
	}
	return rows
}

// rowOf is the index of the row in which a segment is drawn already, -1 for none.
func rowOf(rows []row, x *class.Segment) int {
	return slices.IndexFunc(rows, func(r row) bool {
		return x.Block > 0 && r.segment.Pos == x.Pos && r.segment.RampStep == x.RampStep
	})
}

// brackets draws those of the rows of one block: of the sets within it, and of its own.
func brackets(rows []row) {
	nested := slices.ContainsFunc(rows, func(r row) bool { return r.segment.Outer.Block > 0 })
	for k := 0; k < len(rows); {
		s := rows[k].segment
		to := k + 1
		for to < len(rows) && rows[to].segment.Block == s.Block && s.Block > 0 {
			to++
		}
		if s.Sets > 1 && (s.Outer.Block > 0 || !nested) {
			bracket(s.Sets, s.BlockName, rows[k:to], func(r *row) *string { return &r.sets })
		}
		k = to
	}
	for _, r := range rows {
		if o := r.segment.Outer; o.Sets > 1 {
			bracket(o.Sets, o.BlockName, rows, func(r *row) *string { return &r.outer })
			break
		}
	}
}

// bracket holds rows together, with how often they are run, and notes the name of the block at the first.
func bracket(sets int, name string, rows []row, cell func(*row) *string) {
	for i := range rows {
		*cell(&rows[i]) = "│"
	}
	*cell(&rows[len(rows)-1]) = "╯"
	corner := "╮"
	if len(rows) == 1 {
		corner = "╶"
	}
	*cell(&rows[0]) = fmt.Sprintf("%d x %s", sets, corner)
	if name != "" {
		rows[0].names = append([]string{name}, rows[0].names...)
	}
}
