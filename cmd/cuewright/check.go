package main

import (
	"flag"
	"fmt"

	"cuewright/cues/export"
	"cuewright/plan/problem"
	"cuewright/plan/units"
)

var checkCommand = &command{
	name:  "check",
	args:  "PLAN… [--level LEVEL] [--cues LIST] [--strict] [--json]",
	short: "find what is wrong with plans, their voice and their calls",
	long: `One line a problem, errors first: where in the plan, when in the class (00:00 is
the start of the first segment), and what. With --level all the classes of all levels
are checked; what only some of them have says which. Music is heard until there is
sound, and enough of it to be repeated; the rest of it is not. Nothing is written.
`,
	options: func(f *flag.FlagSet, s *settings) {
		voiceOption(f, s)
		settingOptions(f, s, true)
		cuesOption(f, s)
		f.BoolVar(&s.strict, "strict", false, "count warnings as errors")
		f.BoolVar(&s.json, "json", false, "print the problems as JSON")
	},
	run: func(c *call) error {
		if len(c.args) == 0 {
			return usageError("which plan? Give one or more plan files")
		}
		if c.set.cueList != "" && len(c.args) > 1 {
			return usageError("--cues belongs to one plan")
		}
		levels, err := c.set.levels(true)
		if err != nil {
			return err
		}
		var all []problem.Problem
		list := []export.Problem{}
		for _, name := range c.args {
			jobs, err := loadLevels(c.ctx, name, &c.set, levels)
			if err != nil {
				return err
			}
			found := acrossLevels(jobs)
			all = append(all, found...)
			list = append(list, export.Problems(found, jobs[0].class)...)
			if c.set.json {
				continue
			}
			printProblems(c.out, found)
			for _, j := range jobs {
				if len(j.problems) == 0 {
					fmt.Fprintf(c.out, "%s: %s, %s in %d segments, %d calls: no problems\n",
						name, j.class.Title(), units.FormatLength(j.class.Length), len(j.class.Segments), spokenCalls(j))
				}
			}
		}
		if c.set.json {
			if err := export.Encode(c.out, map[string]any{"problems": list}); err != nil {
				return err
			}
		}
		return verdict(all, c.set.strict)
	},
}

func voiceOption(f *flag.FlagSet, s *settings) {
	f.StringVar(&s.voice, "voice", "", "the `DIR` of recordings, instead of the plan's")
}

func cuesOption(f *flag.FlagSet, s *settings) {
	f.StringVar(&s.cueList, "cues", "", "an edited `LIST` (csv) instead of the plan's own calls")
}
