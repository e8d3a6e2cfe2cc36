package main

import (
	"context"
	"errors"
	"flag"
	"fmt"

	"cuewright/cmd/cuewright/cli"
	"cuewright/cmd/cuewright/job"
	"cuewright/cmd/cuewright/options"
	"cuewright/cmd/cuewright/report"
	"cuewright/plan/class"
	"cuewright/plan/problem"
)

var renderCommand = &cli.Command{
	Name:  "render",
	Args:  "PLAN… [-o FILE|DIR] [--level LEVEL|all] [--format FORM] [--from CLOCK] [--for TIME] [--captions] [--list] [--cues LIST] [--draft] [--force]",
	Short: "make the tracks of plans",
	Long: `Without -o a track is written to PLAN's name with the ending .wav, or that of
--format, in the present folder; with --level the level stands in its name and title,
and all makes a track of each. wav and flac hold the same samples; mp3, m4a and opus
are written through ffmpeg where it is installed. All hold title, coach and chapters.

One line a track tells its length, the loudness of its speech as heard from two
speakers (a meter that counts one channel reads a mono file 3 LU lower), its true peak
and the problems found. A plan with errors makes no track. With --draft a computer
voice on the PATH (flite or espeak-ng), or else a soft tone of the likely length,
stands in for every text that is not recorded; the title says that it is a draft, and
so does the file name, unless -o gives one. A track that stands there and whose plan,
recordings, music and options are as they were is left as it is ("unchanged"), unless
with --force.

The true peak is that before encoding. It is held under -2 dBTP for mp3, m4a and opus
where the plan gives no peak; what a player decodes of them may peak up to 1 dB higher.
`,
	Setup: func(f *flag.FlagSet) cli.Run {
		o := new(renderOptions)
		o.class.Define(f, true)
		o.form.Define(f)
		o.excerpt.Define(f)
		options.CueList(f, &o.cueList)
		f.BoolVar(&o.captions, "captions", false, "write captions beside the track, as .vtt")
		f.BoolVar(&o.list, "list", false, "write the list of calls beside the track, as .csv and .json")
		f.BoolVar(&o.force, "force", false, "make a track even where nothing has changed since it was made")
		f.StringVar(&o.output, "o", "", "the track's `FILE`, or a folder for several")
		f.BoolVar(&o.draft, "draft", false, "let a computer voice speak what is not recorded yet")
		return o.run
	},
	Forms: options.FormNames(),
}

type renderOptions struct {
	class                        options.Class
	form                         options.Form
	excerpt                      options.Excerpt
	cueList, output              string
	captions, list, force, draft bool
}

func (o *renderOptions) run(ctx context.Context, c *cli.Invocation) error {
	plans, err := c.Plans()
	if err != nil {
		return err
	}
	if o.cueList != "" && len(plans) > 1 {
		return cli.UsageError("--cues belongs to one plan")
	}
	wanted, err := o.wanted()
	if err != nil {
		return err
	}
	output := options.Output{Path: o.output, Form: o.form, Excerpt: o.excerpt, Draft: o.draft}
	paths, err := output.Tracks(plans, wanted.Levels)
	if err != nil {
		return err
	}
	asked := o.class.Job()
	asked.CueList, asked.Draft = o.cueList, o.draft
	progress := report.NewProgress(c.Err)
	results := job.New(asked).Render(ctx, plans, paths, wanted, progress.Say)
	progress.Clear()
	return printResults(c, results)
}

// wanted is which tracks are asked for; the error is for what makes no sense.
func (o *renderOptions) wanted() (job.Wanted, error) {
	excerpt, err := o.excerpt.Read()
	if err != nil {
		return job.Wanted{}, err
	}
	if !excerpt.Whole() && (o.captions || o.list) {
		return job.Wanted{}, cli.UsageError("--captions and --list stand beside a whole track: leave out --from and --for")
	}
	levels, err := o.class.Levels(o.cueList)
	return job.Wanted{Excerpt: excerpt, Levels: levels, Captions: o.captions, List: o.list, Force: o.force}, err
}

// printResults reports what became of plans, and returns the error to end with: that of
// the only track, or those of several, which were told one by one.
func printResults(c *cli.Invocation, results []job.Result) error {
	var all []problem.Problem
	var failed []error
	tracks, seen := 0, map[string]bool{}
	for _, r := range results {
		tracks += max(1, len(r.Tracks))
		if r.Err != nil {
			failed = append(failed, r.Err)
			continue
		}
		jobs := r.Jobs()
		if jobs[0].Drafted != "" {
			fmt.Fprintf(c.Err, "%s: a draft: %s\n", r.Name, jobs[0].Drafted)
		}
		found := report.Common(report.AcrossLevels(jobs), seen)
		report.Problems(c.Err, found)
		all = append(all, found...)
		for _, t := range r.Tracks {
			if t.Err != nil {
				failed = append(failed, t.Err)
				continue
			}
			printTrack(c, t)
		}
	}
	if len(failed) > 0 {
		return errors.Join(failed...)
	}
	return report.ExitStatus(all, false)
}

// printTrack reports a track that was made, or why it was not.
func printTrack(c *cli.Invocation, t *job.Track) {
	count := report.Count(t.Job.Problems)
	switch {
	case t.Unchanged:
		fmt.Fprintf(c.Out, "%s  %s  %s, unchanged\n", t.Path, t.Figures, count)
	case t.Figures != "":
		fmt.Fprintf(c.Out, "%s  %s  %s\n", t.Path, t.Figures, count)
	case t.Job.Level() != class.NoLevel:
		fmt.Fprintf(c.Err, "%s, %s: %s, no track was made\n", t.Job.Name, t.Job.Level(), count)
	default:
		fmt.Fprintf(c.Err, "%s: %s, no track was made\n", t.Job.Name, count)
	}
}
