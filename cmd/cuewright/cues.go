package main

import (
	"context"
	"flag"
	"io"

	"cuewright/cmd/cuewright/cli"
	"cuewright/cmd/cuewright/job"
	"cuewright/cmd/cuewright/options"
	"cuewright/cmd/cuewright/report"
)

var cuesCommand = &cli.Command{
	Name:  "cues",
	Args:  "PLAN [--level LEVEL] [--format text|csv|json|vtt] [-o FILE]",
	Short: "print the list of calls: to read, edit, or show as captions",
	Long: `text is to be read, csv can be edited in a spreadsheet and given back with --cues,
json is for programs, vtt are captions for a player. Problems go to standard error.

Of an edited list start, lane, kind and text count. start is in seconds of the track,
which begins with the opening: 20 s before 00:00 where the plan gives no other. clock
and end are for the eye only. To move a call, change its start.
`,
	Setup: func(f *flag.FlagSet) cli.Run {
		o := new(cuesOptions)
		o.class.Define(f, false)
		o.form.Define(f)
		f.StringVar(&o.output, "o", "", "write to `FILE`, which ends as its form: .txt or nothing, .csv, .json, .vtt")
		return o.run
	},
	Forms: options.ListForms,
}

type cuesOptions struct {
	class  options.Class
	form   options.ListForm
	output string
}

func (o *cuesOptions) run(ctx context.Context, c *cli.Invocation) error {
	name, err := c.Plan()
	if err != nil {
		return err
	}
	write, err := o.form.Read(o.output)
	if err != nil {
		return err
	}
	j, err := loadOne(ctx, name, &o.class, o.class.Job())
	if err != nil {
		return err
	}
	report.Problems(c.Err, j.Problems)
	if j.List == nil {
		return cli.ErrProblems
	}
	err = writeOutput(c, j, o.output, func(w io.Writer) error { return write(w, j.List, j.Problems) })
	if err != nil {
		return err
	}
	return report.ExitStatus(j.Problems, false)
}

// writeOutput writes what a command makes of a job to a file, or prints it for "" and -.
func writeOutput(c *cli.Invocation, j *job.Job, output string, write func(io.Writer) error) error {
	if output == "" || output == "-" {
		return write(c.Out)
	}
	return j.Write(output, write)
}

// loadOne loads a plan for a command that makes one class.
func loadOne(ctx context.Context, name string, o *options.Class, asked job.Options) (*job.Job, error) {
	levels, err := o.Levels(asked.CueList)
	if err != nil {
		return nil, err
	}
	jobs, err := job.New(asked).Load(ctx, name, levels...)
	if err != nil {
		return nil, err
	}
	return jobs[0], nil
}
