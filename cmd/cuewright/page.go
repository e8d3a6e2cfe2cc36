package main

import (
	"context"
	"flag"
	"slices"

	"cuewright/cmd/cuewright/cli"
	"cuewright/cmd/cuewright/job"
	"cuewright/cmd/cuewright/options"
	"cuewright/cmd/cuewright/page"
	"cuewright/cmd/cuewright/report"
	"cuewright/cues/track"
	"cuewright/plan/class"
	"cuewright/plan/class/effort"
)

var pageCommand = &cli.Command{
	Name:  "page",
	Args:  "PLAN [-o FILE] [--level LEVEL] [--mass 70kg] [--cues LIST] [--draft]",
	Short: "write the class as one HTML file: to see, play, project and print",
	Long: `The file needs no network and opens from a disk. It draws the class over time with
every call and every problem, plays the track that lies beside it (.wav, .flac, .mp3,
.m4a or .opus, under the page's own name or the plan's; with --draft the draft's
first), fills a studio's screen with the present segment, its targets at each level
and the time left, and prints on one or two sheets, or more from some 45 segments on.
Without -o it is written to PLAN's name with the ending .html in the present folder.
`,
	Setup: func(f *flag.FlagSet) cli.Run {
		o := new(pageOptions)
		o.class.Define(f, false)
		options.Mass(f, &o.mass)
		options.CueList(f, &o.cueList)
		f.StringVar(&o.output, "o", "", "write to `FILE`, which ends in .html or .htm; - for the terminal")
		f.BoolVar(&o.draft, "draft", false, "let a computer voice speak what is not recorded yet, as in render --draft")
		return o.run
	},
}

type pageOptions struct {
	class           options.Class
	mass            effort.Mass
	cueList, output string
	draft           bool
}

func (o *pageOptions) run(ctx context.Context, c *cli.Invocation) error {
	name, err := c.Plan()
	if err != nil {
		return err
	}
	if o.output != "" && o.output != "-" {
		if err := options.CheckHTML("a page", o.output); err != nil {
			return err
		}
	}
	asked := o.class.Job()
	asked.CueList, asked.Draft = o.cueList, o.draft
	j, err := loadOne(ctx, name, &o.class, asked)
	if err != nil {
		return err
	}
	report.Problems(c.Err, j.Problems)
	if j.List == nil {
		return cli.ErrProblems
	}
	track := job.TrackName(name, j.Level(), o.draft)
	output := o.output
	if output == "" {
		output = track + ".html"
	}
	p := page.New(j.List, j.Problems, o.mass)
	addLevels(p, j)
	for _, form := range trackForms() {
		p.Endings = append(p.Endings, "."+string(form))
	}
	p.Tracks = page.TrackURLs(output, track, o.draft, p.Endings)
	if err := writeOutput(c, j, output, p.Write); err != nil {
		return err
	}
	// A page shows what is wrong, so it is written with errors too.
	return report.ExitStatus(j.Problems, false)
}

// addLevels tells on the page what the levels make of the ranges of a class for none.
func addLevels(p *page.Page, j *job.Job) {
	ranged := func(s class.Segment) bool { return !s.Target.Speed.Single() || !s.Target.RPE.Single() }
	if j.Level() != class.NoLevel || !slices.ContainsFunc(j.Class.Segments, ranged) {
		return
	}
	for _, level := range class.Levels {
		p.AddLevel(j.AtLevel(level))
	}
}

// trackForms are all forms that a track may have.
func trackForms() []track.Form { return track.Forms() }
