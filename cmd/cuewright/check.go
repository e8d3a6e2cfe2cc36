package main

import (
	"context"
	"flag"
	"fmt"

	"cuewright/cmd/cuewright/cli"
	"cuewright/cmd/cuewright/job"
	"cuewright/cmd/cuewright/options"
	"cuewright/cmd/cuewright/report"
	"cuewright/cues/export"
	"cuewright/plan/problem"
	"cuewright/plan/units"
)

var checkCommand = &cli.Command{
	Name:  "check",
	Args:  "PLAN… [--level LEVEL] [--cues LIST] [--strict] [--json]",
	Short: "find what is wrong with plans, their voice and their calls",
	Long: `One line a problem, errors first: where in the plan, when in the class (00:00 is
the start of the first segment), and what. With --level all the classes of all levels
are checked; what only some of them have says which. Music is heard until there is
sound, and enough of it to be repeated; the rest of it is not. Nothing is written.
`,
	Setup: func(f *flag.FlagSet) cli.Run {
		o := new(checkOptions)
		o.class.Define(f, true)
		options.CueList(f, &o.cueList)
		f.BoolVar(&o.strict, "strict", false, "count warnings as errors")
		f.BoolVar(&o.json, "json", false, "print the problems as JSON")
		return o.run
	},
}

type checkOptions struct {
	class        options.Class
	cueList      string
	strict, json bool
}

func (o *checkOptions) run(ctx context.Context, c *cli.Invocation) error {
	plans, err := c.Plans()
	if err != nil {
		return err
	}
	if o.cueList != "" && len(plans) > 1 {
		return cli.UsageError("--cues belongs to one plan")
	}
	levels, err := o.class.Levels(o.cueList)
	if err != nil {
		return err
	}
	asked := o.class.Job()
	asked.CueList = o.cueList
	loader := job.New(asked)
	var all []problem.Problem
	list, seen := []export.Problem{}, map[string]bool{}
	for _, name := range plans {
		jobs, err := loader.Load(ctx, name, levels...)
		if err != nil {
			return err
		}
		found := report.Common(report.AcrossLevels(jobs), seen)
		all = append(all, found...)
		list = append(list, export.Problems(found, jobs[0].Class)...)
		if o.json {
			continue
		}
		report.Problems(c.Out, found)
		for _, j := range jobs {
			if len(j.Problems) == 0 {
				fmt.Fprintf(c.Out, "%s: %s, %s in %d segments, %d calls: no problems\n",
					name, j.Class.Title(), units.FormatLength(j.Class.Length), len(j.Class.Segments), report.SpokenCalls(j.List))
			}
		}
	}
	if o.json {
		if err := export.Encode(c.Out, map[string]any{"problems": list}); err != nil {
			return err
		}
	}
	return report.ExitStatus(all, o.strict)
}
