package show

import (
	"slices"
	"time"

	"cuewright/plan/class"
	"cuewright/plan/units"
)

// groundWidth is how many columns the line of the ground takes, to scale.
const groundWidth = 72

// ground draws the incline of a class over its time on one line of plain letters:
// "/" where it rises, "\" where it falls, "^" where it does both within a column,
// and behind each the percentage, where there is room for it. It is empty where
// the plan has no incline, or only one.
func ground(c *class.Class) string {
	line := slices.Repeat([]byte{'_'}, groundWidth)
	type change struct {
		column  int
		incline int64 // from there on
	}
	changes := []change{{-1, c.Segments[0].Target.Incline}}
	for i := 1; i < len(c.Segments); i++ {
		was, s := c.Segments[i-1].Target, &c.Segments[i]
		if s.Target.Floor || s.Target.Incline == was.Incline {
			continue
		}
		mark := byte('/')
		if s.Target.Incline < was.Incline {
			mark = '\\'
		}
		// A class has at most 12 h: no overflow.
		column := int(s.Start / time.Millisecond * groundWidth / (c.Length / time.Millisecond))
		if line[column] != '_' && line[column] != mark {
			mark = '^'
		}
		line[column] = mark
		changes = append(changes, change{column, s.Target.Incline})
	}
	if len(changes) == 1 {
		return ""
	}
	for i, x := range changes {
		end := groundWidth
		if i+1 < len(changes) {
			end = changes[i+1].column
		}
		// A number stands clear of the next mark, unless it fills the gap to the digit.
		if number := units.FormatTenths(x.incline); x.column+1+len(number) <= end {
			copy(line[x.column+1:], number)
		}
	}
	return string(line)
}
