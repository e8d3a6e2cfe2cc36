package main

import (
	"bufio"
	"flag"
	"fmt"
	"io"
	"math"
	"os"
	"strconv"
	"strings"
	"unicode/utf8"

	"cuewright/audio/faults"
	"cuewright/audio/voice"
	"cuewright/audio/words"
	"cuewright/cues/calls"
	"cuewright/cues/export"
	"cuewright/cues/phrase"
	"cuewright/plan/class"
)

var clipsCommand = &command{
	name:  "clips",
	args:  "DIR [PLAN…] [--json]",
	short: "listen to the recordings of a voice and say what is wrong with them",
	long: `One line a fault: the file, what it is, the figure measured and its limit, and what
to do. Faults marked ! would be heard in a class, the others are mended on loading
or could be better. Exit status 1 where one would be heard. Where plans are given,
recordings that none of their calls can use are listed too.
`,
	options: func(f *flag.FlagSet, s *settings) {
		f.BoolVar(&s.json, "json", false, "print every recording with its faults as JSON")
	},
	run: func(c *call) error {
		if len(c.args) == 0 {
			return usageError("give a folder of recordings")
		}
		info, err := os.Stat(c.args[0])
		if err != nil {
			return err
		}
		if !info.IsDir() {
			return fmt.Errorf("%s is not a folder of recordings", c.args[0])
		}
		root, err := os.OpenRoot(c.args[0])
		if err != nil {
			return err
		}
		defer root.Close()
		j := &job{folder: c.args[0], files: root.FS()}
		book := j.book()
		if book == nil {
			printProblems(c.err, j.problems)
			return errProblems
		}
		v, err := voice.Open(j.files, voice.Options{Rate: 48000, Keys: phrase.VoiceKeys(), Context: c.ctx})
		if err != nil {
			return err
		}
		known, err := vocabulary(c, book, c.args[1:])
		if err != nil {
			return err
		}
		reports, err := faults.Check(c.ctx, v, known)
		if err != nil {
			return err
		}
		if c.set.json {
			err = export.Encode(c.out, clipsJSON(reports))
		} else {
			err = printClips(c.out, reports)
		}
		if err != nil {
			return err
		}
		for _, r := range reports {
			for _, f := range r.Faults {
				if f.Severity == faults.Error {
					return errProblems
				}
			}
		}
		return nil
	},
}

// vocabulary are the words that a book and the names and sentences of plans can
// have; nil without plans, whose names nobody can guess.
func vocabulary(c *call, book *phrase.Book, plans []string) (map[string]bool, error) {
	if len(plans) == 0 {
		return nil, nil
	}
	texts := book.Texts()
	for _, name := range plans {
		p, found, err := readPlan(name)
		if err != nil {
			return nil, err
		}
		if len(found) > 0 {
			printProblems(c.err, found)
			return nil, errProblems
		}
		class, _ := class.Unfold(p)
		texts = append(texts, calls.Texts(class, book)...)
	}
	known := map[string]bool{}
	for _, text := range texts {
		for _, w := range words.Of(text) {
			known[w] = true
		}
	}
	return known, nil
}

// printClips writes the faults as a table.
func printClips(w io.Writer, reports []faults.Report) error {
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
			rows = append(rows, row{visible(r.File), mark + " " + string(f.Kind), measured, f.Advice})
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

// clipsJSON is the promised form.
func clipsJSON(reports []faults.Report) any {
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
