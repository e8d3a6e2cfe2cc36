package report

import (
	"bufio"
	"cuewright/audio/faults"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"
)

// Clips writes the faults as a table.
func Clips(w io.Writer, reports []faults.Report) error {
	out := bufio.NewWriter(w)
	type row struct{ file, kind, measured, advice string }
	rows := []row{}
	heard, others := 0, 0
	for _, r := range reports {
		for _, f := range r.Faults {
			mark := " "
			if f.Severity == faults.Error {
				mark = "!"
				heard++
			} else {
				others++
			}
			measured := ""
			if f.Unit != "" {
				measured = fmt.Sprintf("%s %s (%s)", figure(f.Measured, f.Unit), f.Unit, figure(f.Limit, f.Unit))
			}
			rows = append(rows, row{Sanitise(r.File), mark + " " + string(f.Kind), measured, f.Advice})
		}
	}
	if len(rows) > 0 {
		rows = append([]row{{"file", "  what", "measured (limit)", "what to do"}}, rows...)
		var wide [3]int
		for _, r := range rows {
			for i, cell := range []string{r.file, r.kind, r.measured} {
				wide[i] = max(wide[i], utf8.RuneCountInString(cell))
			}
		}
		for _, r := range rows {
			fmt.Fprintf(out, "%-*s  %-*s  %-*s  %s\n", wide[0], r.file, wide[1], r.kind, wide[2], r.measured, r.advice)
		}
		fmt.Fprintln(out)
	}
	good := 0
	for _, r := range reports {
		if len(r.Faults) == 0 {
			good++
		}
	}
	fmt.Fprintf(out, "%d recordings, %d without a fault; %d faults would be heard in a class, %d would not\n", len(reports), good, heard, others)
	return out.Flush()
}

// figure writes a measured number with three digits that matter, and levels with at
// most one decimal.
func figure(v float64, unit string) string {
	if strings.HasPrefix(unit, "dB") || strings.HasPrefix(unit, "LU") {
		v = round(v, 1) + 0 // without the sign of a zero
		return strconv.FormatFloat(v, 'f', -1, 64)
	}
	if math.Abs(v) >= 100 {
		return strconv.FormatFloat(v, 'f', 0, 64)
	}
	return strconv.FormatFloat(v, 'g', 3, 64)
}

// ClipsJSON is the promised form of faults for programs.
func ClipsJSON(reports []faults.Report) any {
	type fault struct {
		Kind     faults.Kind     `json:"kind"`
		Severity faults.Severity `json:"severity"`
		Measured float64         `json:"measured"`
		Limit    float64         `json:"limit"`
		Advice   string          `json:"advice"`
	}
	type clip struct {
		File     string  `json:"file"`
		Text     string  `json:"text"`
		Seconds  float64 `json:"seconds"`
		Loudness float64 `json:"loudness"`
		Faults   []fault `json:"faults"`
	}
	out := struct {
		Clips []clip `json:"clips"`
	}{[]clip{}}
	for _, r := range reports {
		c := clip{r.File, r.Text, round(r.Seconds, 3), round(r.Loudness, 2), []fault{}}
		for _, f := range r.Faults {
			c.Faults = append(c.Faults, fault{f.Kind, f.Severity, round(f.Measured, 3), round(f.Limit, 3), f.Advice})
		}
		out.Clips = append(out.Clips, c)
	}
	return out
}

func round(v float64, decimals int) float64 {
	scale := math.Pow(10, float64(decimals))
	return math.Round(v*scale) / scale
}
