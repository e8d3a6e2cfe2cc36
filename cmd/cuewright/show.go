package main

import (
	"context"
	"flag"

	"cuewright/cmd/cuewright/cli"
	"cuewright/cmd/cuewright/options"
	"cuewright/cmd/cuewright/report"
	"cuewright/plan/class/effort"
	"cuewright/plan/class/show"
)

var showCommand = &cli.Command{
	Name:  "show",
	Args:  "PLAN [--level LEVEL] [--mass 70kg]",
	Short: "show the class at a glance",
	Long: `Parts, sets folded, clock, targets, estimated effort, the ground and the totals.
The effort is an estimate by published equations, each inside the speeds it was
made for; between walking and running there is one where the plan says gait: run.
`,
	Setup: func(f *flag.FlagSet) cli.Run {
		o := new(showOptions)
		o.class.Define(f, false)
		options.Mass(f, &o.mass)
		return o.run
	},
}

type showOptions struct {
	class options.Class
	mass  effort.Mass
}

func (o *showOptions) run(ctx context.Context, c *cli.Invocation) error {
	name, err := c.Plan()
	if err != nil {
		return err
	}
	j, err := loadOne(ctx, name, &o.class, o.class.Job())
	if err != nil {
		return err
	}
	report.Problems(c.Err, j.Problems)
	if j.Class == nil {
		return cli.ErrProblems
	}
	if err := show.Show(c.Out, j.Class, o.mass); err != nil {
		return err
	}
	return report.ExitStatus(j.Problems, false)
}
