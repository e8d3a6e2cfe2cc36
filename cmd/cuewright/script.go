package main

import (
	"context"
	"flag"
	"io"

	"cuewright/cmd/cuewright/cli"
	"cuewright/cmd/cuewright/job"
	"cuewright/cmd/cuewright/options"
	"cuewright/cmd/cuewright/report"
	"cuewright/cues/export"
	"cuewright/cues/script"
	"cuewright/plan/class"
)

var scriptCommand = &cli.Command{
	Name:  "script",
	Args:  "PLAN… [--level LEVEL|all] [--html FILE] [--json]",
	Short: "list what to record for these plans, the most useful first",
	Long: `Every text that the calls of the plans may need, whatever their lengths turn out to
be, and the voice cannot say yet: recording the list once is enough. Texts that
must not last longer than some seconds say so. The second list can be said
already, or will be, but is joined of several recordings and called often: it
sounds better whole. Without a voice in the plan or --voice, the demo voice is asked.
Without --level the ranges are called; with all, what every level calls is listed.
`,
	Setup: func(f *flag.FlagSet) cli.Run {
		o := new(scriptOptions)
		o.class.Define(f, true)
		f.StringVar(&o.html, "html", "", "write a sheet to print and tick off to `FILE`, which ends in .html or .htm")
		f.BoolVar(&o.json, "json", false, "print the lists as JSON")
		return o.run
	},
}

type scriptOptions struct {
	class options.Class
	html  string
	json  bool
}

func (o *scriptOptions) run(ctx context.Context, c *cli.Invocation) error {
	plans, err := c.Plans()
	if err != nil {
		return err
	}
	levels, err := o.class.Levels("")
	if err != nil {
		return err
	}
	if o.html != "" {
		if err := options.CheckHTML("a sheet", o.html); err != nil {
			return err
		}
	}
	loader := job.New(o.class.Job())
	var classes []*class.Class
	var titles []string
	var first *job.Job
	for _, name := range plans {
		jobs, err := loader.Load(ctx, name, levels...)
		if err != nil {
			return err
		}
		if jobs[0].List == nil {
			report.Problems(c.Err, jobs[0].Problems)
			return cli.ErrProblems
		}
		if first == nil {
			first = jobs[0]
		}
		for _, j := range jobs {
			classes = append(classes, j.Class)
		}
		titles = append(titles, jobs[0].Plan.Class.Value)
	}
	s := script.Write(classes, first.List.Book, first.Speaker)
	if o.html != "" {
		err := first.Write(o.html, func(w io.Writer) error { return s.Sheet(w, first.List.Book.Language.Value, titles) })
		if err != nil {
			return err
		}
	}
	if o.json {
		return export.Encode(c.Out, report.ScriptJSON(s, classes))
	}
	return report.Script(c.Out, s)
}
