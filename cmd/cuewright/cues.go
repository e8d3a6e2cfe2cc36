package main

import (
	"flag"
	"io"
	"os"
	"strings"

	"cuewright/cues"
	"cuewright/cues/export"
	"cuewright/plan/problem"
)

// listForms are the forms of a list by name.
var listForms = map[string]func(io.Writer, *cues.List, []problem.Problem) error{
	"text": func(w io.Writer, l *cues.List, _ []problem.Problem) error { return export.Text(w, l) },
	"csv":  func(w io.Writer, l *cues.List, _ []problem.Problem) error { return export.CSV(w, l) },
	"vtt":  func(w io.Writer, l *cues.List, _ []problem.Problem) error { return export.VTT(w, l) },
	"json": export.JSON,
}

// listEndings are those of the files of each form.
var listEndings = map[string][]string{
	"text": {".txt", ""},
	"csv":  {".csv"},
	"vtt":  {".vtt"},
	"json": {".json"},
}

var listNames = []string{"text", "csv", "json", "vtt"}

var cuesCommand = &command{
	name:  "cues",
	args:  "PLAN [--level LEVEL] [--format text|csv|json|vtt] [-o FILE]",
	short: "print the list of calls: to read, edit, or show as captions",
	long: `text is to be read, csv can be edited in a spreadsheet and given back with --cues,
json is for programs, vtt are captions for a player. Problems go to standard error.

Of an edited list start, lane, kind and text count. start is in seconds of the track,
which begins with the opening: 20 s before 00:00 where the plan gives no other. clock
and end are for the eye only. To move a call, change its start.
`,
	options: func(f *flag.FlagSet, s *settings) {
		voiceOption(f, s)
		settingOptions(f, s, false)
		f.StringVar(&s.format, "format", "text", "the `FORM`: text, csv, json or vtt")
		f.StringVar(&s.output, "o", "", "write to `FILE`, which ends as its form: .txt or nothing, .csv, .json, .vtt")
	},
	forms: listNames,
	run: func(c *call) error {
		name, err := c.onePlan()
		if err != nil {
			return err
		}
		form, ok := listForms[c.set.format]
		if !ok {
			return usageError("--format " + c.set.format + " is not known; accepted: " + strings.Join(listNames, ", "))
		}
		if c.set.output != "" && c.set.output != "-" {
			err := checkEnding("a list of --format "+c.set.format, c.set.output, listEndings[c.set.format]...)
			if err != nil {
				return err
			}
		}
		j, err := load(c.ctx, name, &c.set)
		if err != nil {
			return err
		}
		printProblems(c.err, j.problems)
		if j.list == nil {
			return errProblems
		}
		write := func(w io.Writer) error { return form(w, j.list, j.problems) }
		if c.set.output == "" || c.set.output == "-" {
			err = write(c.out)
		} else if err = j.refuse(c.set.output); err == nil {
			err = writeFile(c.set.output, func(f *os.File) error { return write(f) })
		}
		if err != nil {
			return err
		}
		return verdict(j.problems, false)
	},
}

// onePlan is the only argument of a command.
func (c *call) onePlan() (string, error) {
	if len(c.args) != 1 {
		return "", usageError("give one plan file")
	}
	return c.args[0], nil
}

func spokenCalls(j *job) int {
	n := 0
	for i := range j.list.Cues {
		if j.list.Cues[i].Lane == cues.Speech {
			n++
		}
	}
	return n
}
