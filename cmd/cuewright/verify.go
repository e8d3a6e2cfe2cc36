package main

import (
	"context"
	"flag"
	"fmt"

	"cuewright/cmd/cuewright/cli"
	"cuewright/cmd/cuewright/options"
	"cuewright/cmd/cuewright/report"
	"cuewright/cues/export"
	"cuewright/cues/verify"
	"cuewright/cues/verify/recording"
)

var verifyCommand = &cli.Command{
	Name:  "verify",
	Args:  "PLAN TRACK [--cues LIST] [--json]",
	Short: "listen to a finished track and measure it against its plan",
	Long: `Listens to the file, and to nothing else, for everything the plan promises: its
length, every tone and click (where it begins, to a fraction of a frame), every call
(where it begins and ends, how loud it is), silence where silence is due, loudness,
true peak, clipping, markers or chapters, and the level of music. Each line tells what
was measured and the limit. What another sound hides is counted as not
measurable. Words are not understood: a phrase that lasts as long as the one due passes
for it. Give the same options as to render. Exit status 1 where a limit is broken.
`,
	Setup: func(f *flag.FlagSet) cli.Run {
		o := new(verifyOptions)
		o.class.Define(f, false)
		options.CueList(f, &o.cueList)
		f.BoolVar(&o.draft, "draft", false, "the track was rendered with --draft")
		f.BoolVar(&o.json, "json", false, "print what was measured as JSON")
		return o.run
	},
}

type verifyOptions struct {
	class       options.Class
	cueList     string
	draft, json bool
}

func (o *verifyOptions) run(ctx context.Context, c *cli.Invocation) error {
	if len(c.Args) != 2 {
		return cli.UsageError("give a plan and its track")
	}
	plan, path := c.Args[0], c.Args[1]
	track, err := recording.Open(ctx, path)
	if err != nil {
		return err
	}
	asked := o.class.Job()
	asked.CueList, asked.Draft = o.cueList, o.draft
	j, err := loadOne(ctx, plan, &o.class, asked)
	if err != nil {
		return err
	}
	if j.HasErrors() {
		report.Problems(c.Err, j.Problems)
		fmt.Fprintf(c.Err, "%s: %s, there is no track to compare with\n", plan, report.Count(j.Problems))
		return cli.ErrProblems
	}
	progress := report.NewProgress(c.Err)
	progress.Say("%s: listening", path)
	found, err := verify.Listen(ctx, track, j.List, j.Speaker.Crest(j.List))
	progress.Clear()
	if err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	if o.json {
		err = export.Encode(c.Out, found)
	} else if _, err = fmt.Fprintf(c.Out, "%s, measured against %s\n", path, plan); err == nil {
		err = found.Write(c.Out)
	}
	if err == nil && !found.Right {
		err = cli.ErrProblems
	}
	return err
}
