// Package show draws a class for a terminal: its parts and sets, the numbers to dial in, the
// ground, what it asks of a body, and the cautions.
package show

import (
	"bufio"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"cuewright/plan/class"
	"cuewright/plan/class/effort"
	"cuewright/plan/class/role"
	"cuewright/plan/parts"
	"cuewright/plan/units"
	"cuewright/plan/value"
)

// showWidth is the most columns of a terminal that a class takes.
const showWidth = 80

// Show draws a class as a coach would: its parts, the sets folded, clock, length,
// targets and effort of each segment, the ground, the totals, and the cautions.
// Kilocalories are for a body of the given mass, and left out where it is zero.
func Show(w io.Writer, c *class.Class, mass effort.Mass) error {
	out := bufio.NewWriter(w)
	title := c.Title()
	if c.Plan.Coach.Value != "" {
		title += " · " + c.Plan.Coach.Value
	}
	paragraph(out, title)
	paragraph(out, Summary(c))
	if c.Step > 0 {
		room := fmt.Sprintf("speeds in %s, in steps of %s", c.Units, c.Units.FormatStep(c.Step))
		if written := c.Plan.Unit(); written != c.Units {
			room += fmt.Sprintf("; the plan is in %s", written)
		}
		paragraph(out, room)
	}
	fmt.Fprintln(out)
	table(out, c, mass)
	if line := ground(c); line != "" {
		end := units.FormatLength(c.Length)
		fmt.Fprintf(out, "\nground  %s\n        0:00%s\n", line, pad(end, groundWidth-4, true))
		fmt.Fprintln(out, `        / the incline rises, \ it falls, ^ does both; to scale, in percent`)
	}
	fmt.Fprintln(out)
	paragraph(out, roles(c))
	for _, line := range EffortLines(c, mass) {
		paragraph(out, line)
	}
	fmt.Fprintln(out)
	for _, line := range c.Cautions() {
		paragraph(out, line)
	}
	return out.Flush()
}

// Summary tells how long a class is: "25:00 in 15 segments, the track 25:28 with
// opening and closing".
func Summary(c *class.Class) string {
	_, track := c.TrackSpan()
	return fmt.Sprintf("%s in %d segments, the track %s with opening and closing",
		units.FormatLength(c.Length), len(c.Segments), units.FormatLength(track))
}

// Totals tells how long each part of a class is: "warm-up 5:00 · main 14:00".
func Totals(c *class.Class) string {
	var totals []string
	for _, part := range []parts.Part{parts.WarmUp, parts.Main, parts.CoolDown} {
		if sum := partLength(c, part); sum > 0 {
			totals = append(totals, fmt.Sprintf("%s %s", part, units.FormatLength(sum)))
		}
	}
	return strings.Join(totals, " · ")
}

func paragraph(out io.Writer, text string) {
	for _, line := range wrap(text, showWidth) {
		fmt.Fprintln(out, line)
	}
}

// EffortText is what a segment is estimated to ask for, in METs and, where the mass is
// given, kilocalories; "" without an estimate.
func EffortText(u units.Unit, s *class.Segment, mass effort.Mass) string {
	e := effort.Of(u, s, mass)
	if !e.Known() {
		return ""
	}
	text := bothEnds("%.1f", e.METs()) + " METs"
	if mass > 0 {
		text += ", " + bothEnds("%.0f", e.Kcal) + " kcal"
	}
	return text
}

// EffortLines are the sums of a class in words, one thing a line: distance, climb and
// estimated effort, and for how much of it there is none.
func EffortLines(c *class.Class, mass effort.Mass) []string {
	t := effort.Total(c, mass)
	var lines []string
	if t.Measured > 0 {
		line := "distance " + distance(c.Units, t.Distance)
		if t.Climb.High > 0 {
			line += ", climb " + climb(c.Units, t.Climb)
		}
		if t.Measured < t.Length {
			line += fmt.Sprintf(", in %s of %s", units.FormatLength(t.Measured), units.FormatLength(t.Length))
		}
		lines = append(lines, line)
	}
	if t.Estimated > 0 {
		line := fmt.Sprintf("effort estimated for %s of %s: on average %s METs (%s mL/kg/min), at most %.1f",
			units.FormatLength(t.Estimated), units.FormatLength(t.Length), bothEnds("%.1f", t.METs()), bothEnds("%.0f", t.VO2), t.Peak)
		if mass > 0 {
			line += fmt.Sprintf("; %s kcal for %v", bothEnds("%.0f", t.Kcal), mass)
		}
		lines = append(lines, line)
	}
	if t.Wide > 0 {
		lines = append(lines, fmt.Sprintf("of these %s lie between walking and running, where the range is wider: from the equation of one to that of the other (gait: walk or run narrows it)",
			units.FormatLength(t.Wide)))
	}
	spread := effort.SpreadOf(c)
	if spread.Length > 0 {
		lines = append(lines, fmt.Sprintf("of the running, %s: on average %s METs by the ACSM equation, %s by another published model (%s)",
			units.FormatLength(spread.Length), bothEnds("%.0f", spread.First), bothEnds("%.0f", spread.Second), effort.SecondModel))
	}
	if spread.Downhill > 0 {
		lines = append(lines, fmt.Sprintf("running downhill, %s: on average %s METs by that model alone (%s)",
			units.FormatLength(spread.Downhill), bothEnds("%.0f", spread.DownhillMETs), effort.SecondModel))
	}
	for _, gap := range effort.Gaps {
		d := t.Gaps[gap]
		if d == 0 {
			continue
		}
		lines = append(lines, fmt.Sprintf("no estimate for %s: %s", units.FormatLength(d), gap))
	}
	if t.Estimated > 0 {
		lines = append(lines, "Estimates by the ACSM equations, slow end to fast end; a body may differ much from them.")
	}
	return lines
}

// roles tells what the efforts are for: "work rise, crest · recovery even · easy stroll, even (guessed)".
func roles(c *class.Class) string {
	names, guessed := map[value.Role][]string{}, false
	for i, g := range role.Of(c) {
		name := strings.TrimSpace(c.Segments[i].Effort)
		if name == "" {
			name = string(c.Segments[i].Part)
		}
		if !slices.Contains(names[g.Role], name) {
			names[g.Role] = append(names[g.Role], name)
		}
		guessed = guessed || !g.Said
	}
	var parts []string
	for _, r := range []value.Role{value.Work, value.Recovery, value.Easy, value.Floor} {
		if names[r] != nil {
			parts = append(parts, string(r)+" "+strings.Join(names[r], ", "))
		}
	}
	line := strings.Join(parts, " · ")
	if guessed {
		line += " (guessed where the plan has no role)"
	}
	return line
}

// bothEnds writes a number at both ends of a range, once where both look alike.
func bothEnds(format string, e effort.Ends[float64]) string {
	low, high := fmt.Sprintf(format, e.Low), fmt.Sprintf(format, e.High)
	if low == high {
		return low
	}
	return low + "–" + high
}

func distance(u units.Unit, d effort.Ends[units.Millimetres]) string {
	unit, size := "km", 1e6
	if u.Imperial() {
		unit, size = "miles", float64(units.Mile)
	}
	return bothEnds("%.2f", effort.Ends[float64]{Low: float64(d.Low) / size, High: float64(d.High) / size}) + " " + unit
}

func climb(u units.Unit, d effort.Ends[units.Millimetres]) string {
	unit, size := "m", 1e3
	if u.Imperial() {
		unit, size = "ft", 304.8 // millimetres of a foot
	}
	return bothEnds("%.0f", effort.Ends[float64]{Low: float64(d.Low) / size, High: float64(d.High) / size}) + " " + unit
}

// partLength is how long one part of a class lasts.
func partLength(c *class.Class, part parts.Part) time.Duration {
	var sum time.Duration
	for i := range c.Segments {
		if c.Segments[i].Part == part {
			sum += c.Segments[i].Length
		}
	}
	return sum
}

func segmentName(s *class.Segment) string {
	name := strings.TrimSpace(s.Effort)
	if name == "" {
		name = "–"
	}
	if s.Written.Distance > 0 {
		name += " " + strings.NewReplacer("metres", "m", "meters", "m", "metre", "m", "meter", "m").Replace(s.Written.Text)
	}
	return name
}
