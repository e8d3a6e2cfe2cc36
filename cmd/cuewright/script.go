package main

import (
	"flag"
	"fmt"
	"io"
	"os"

	"cuewright/audio"
	"cuewright/cues/export"
	"cuewright/cues/script"
	"cuewright/plan/class"
	"cuewright/plan/units"
)

var scriptCommand = &command{
	name:  "script",
	args:  "PLAN… [--level LEVEL|all] [--html FILE] [--json]",
	short: "list what to record for these plans, the most useful first",
	long: `Every text that the calls of the plans may need, whatever their lengths turn out to
be, and the voice cannot say yet: recording the list once is enough. Texts that
must not last longer than some seconds say so. The second list can be said
already, or will be, but is joined of several recordings and called often: it
sounds better whole. Without a voice in the plan or --voice, the demo voice is asked.
Without --level the ranges are called; with all, what every level calls is listed.
`,
	options: func(f *flag.FlagSet, s *settings) {
		voiceOption(f, s)
		settingOptions(f, s, true)
		f.StringVar(&s.html, "html", "", "write a sheet to print and tick off to `FILE`, which ends in .html or .htm")
		f.BoolVar(&s.json, "json", false, "print the lists as JSON")
	},
	run: func(c *call) error {
		if len(c.args) == 0 {
			return usageError("which plan? Give one or more plan files")
		}
		levels, err := c.set.levels(true)
		if err != nil {
			return err
		}
		if c.set.html != "" {
			if err := checkEnding("a sheet", c.set.html, pageEndings...); err != nil {
				return err
			}
		}
		var classes []*class.Class
		var titles []string
		var first *job
		for _, name := range c.args {
			jobs, err := loadLevels(c.ctx, name, &c.set, levels)
			if err != nil {
				return err
			}
			if jobs[0].list == nil {
				printProblems(c.err, jobs[0].problems)
				return errProblems
			}
			if first == nil {
				first = jobs[0]
			}
			for _, j := range jobs {
				classes = append(classes, j.class)
			}
			titles = append(titles, jobs[0].plan.Class.Value)
		}
		s := script.Write(classes, first.list.Book, first.speaker)
		if c.set.html != "" {
			if err := first.refuse(c.set.html); err != nil {
				return err
			}
			err := writeFile(c.set.html, func(f *os.File) error { return s.Sheet(f, first.list.Book.Language.Value, titles) })
			if err != nil {
				return err
			}
		}
		if c.set.json {
			return export.Encode(c.out, scriptJSON(s, classes))
		}
		return printScript(c.out, s)
	},
}

// scriptJSON is the promised form: first is a frame of the track.
func scriptJSON(s script.Script, classes []*class.Class) any {
	type item struct {
		Text    string  `json:"text"`
		Uses    int     `json:"uses"`
		First   int64   `json:"first"`
		Longest float64 `json:"longest"`
	}
	type phrase struct {
		Text  string `json:"text"`
		Uses  int    `json:"uses"`
		Joins int    `json:"joins"`
	}
	out := struct {
		Recorded int      `json:"recorded"`
		Missing  []item   `json:"missing"`
		Phrases  []phrase `json:"phrases"`
	}{s.Recorded, []item{}, []phrase{}}
	for _, m := range s.Missing {
		c := classes[m.Class]
		start, _ := c.TrackSpan()
		out.Missing = append(out.Missing, item{m.Text, m.Uses, audio.Rate(c.Plan.Track.Rate.Value).Frame(start + m.First), m.Longest.Seconds()})
	}
	for _, p := range s.Phrases {
		out.Phrases = append(out.Phrases, phrase(p))
	}
	return out
}

func printScript(w io.Writer, s script.Script) error {
	var err error
	line := func(format string, args ...any) {
		if err == nil {
			_, err = fmt.Fprintf(w, format, args...)
		}
	}
	line("%s\n", coverage(s.Recorded, len(s.Missing)))
	if len(s.Missing) > 0 {
		line("\ncalls  first at  at most  text\n")
		for _, m := range s.Missing {
			longest := ""
			if m.Longest > 0 {
				longest = fmt.Sprintf("%.1f s", m.Longest.Seconds())
			}
			line("%5d  %8s  %7s  %s\n", m.Uses, units.FormatClock(m.First), longest, m.Text)
		}
	}
	if len(s.Phrases) > 0 {
		line("\nBetter whole than joined:\n\ncalls  joins  text\n")
		for _, p := range s.Phrases {
			line("%5d  %5d  %s\n", p.Uses, p.Joins, p.Text)
		}
	}
	return err
}

// coverage tells how much of what is needed a voice has.
func coverage(recorded, missing int) string {
	needed := recorded + missing
	switch {
	case missing == 0:
		return fmt.Sprintf("Nothing is missing: the voice has all %d texts that are needed.", needed)
	case recorded == 0:
		return fmt.Sprintf("The voice has none of the %d texts that are needed. The most useful first:", needed)
	case missing == 1:
		return fmt.Sprintf("The voice has %d of the %d texts that are needed. One is missing:", recorded, needed)
	}
	return fmt.Sprintf("The voice has %d of the %d texts that are needed, %d are missing. The most useful first:", recorded, needed, missing)
}
