package main

import (
	"context"
	"flag"
	"fmt"
	"os"
	"slices"

	"cuewright/audio/faults"
	"cuewright/audio/review"
	"cuewright/audio/voice"
	"cuewright/audio/words"
	"cuewright/cmd/cuewright/cli"
	"cuewright/cmd/cuewright/folder"
	"cuewright/cmd/cuewright/job"
	"cuewright/cmd/cuewright/report"
	"cuewright/cues/calls"
	"cuewright/cues/export"
	"cuewright/cues/phrase"
	"cuewright/cues/phrase/vocabulary"
	"cuewright/cues/track"
	"cuewright/plan/class"
)

var clipsCommand = &cli.Command{
	Name:  "clips",
	Args:  "DIR [PLAN…] [--json]",
	Short: "listen to the recordings of a voice and say what is wrong with them",
	Long: `One line a fault: the file, what it is, the figure measured and its limit, and what
to do. Faults marked ! would be heard in a class, the others are mended on loading
or could be better. Exit status 1 where one would be heard. Where plans are given,
recordings that none of their calls can use are listed too.
`,
	Setup: func(f *flag.FlagSet) cli.Run {
		o := new(clipsOptions)
		f.BoolVar(&o.json, "json", false, "print every recording with its faults as JSON")
		return o.run
	},
}

type clipsOptions struct{ json bool }

func (o *clipsOptions) run(ctx context.Context, c *cli.Invocation) error {
	if len(c.Args) == 0 {
		return cli.UsageError("give a folder of recordings")
	}
	info, err := os.Stat(c.Args[0])
	if err != nil {
		return err
	}
	if !info.IsDir() {
		return fmt.Errorf("%s is not a folder of recordings", c.Args[0])
	}
	files, book, found, err := folder.Open(c.Args[0])
	if err != nil {
		return err
	}
	if book == nil {
		report.Problems(c.Err, found)
		return cli.ErrProblems
	}
	v, err := voice.Open(files, voice.Options{Rate: 48000, Names: track.NamesOf(book), Context: ctx})
	if err != nil {
		return err
	}
	known, err := knownWords(c, book, c.Args[1:])
	if err != nil {
		return err
	}
	clips, err := review.Voice(ctx, v, known)
	if err != nil {
		return err
	}
	if o.json {
		err = export.Encode(c.Out, report.ClipsJSON(clips))
	} else {
		err = report.Clips(c.Out, clips)
	}
	if err != nil {
		return err
	}
	heard := func(f faults.Fault) bool { return f.Severity == faults.Error }
	if slices.ContainsFunc(clips, func(r faults.Report) bool { return slices.ContainsFunc(r.Faults, heard) }) {
		return cli.ErrProblems
	}
	return nil
}

// knownWords are the words that a book and the names and sentences of plans can
// have; nil without plans, whose names nobody can guess.
func knownWords(c *cli.Invocation, book *phrase.Book, plans []string) (map[string]bool, error) {
	if len(plans) == 0 {
		return nil, nil
	}
	texts := vocabulary.Of(book)
	for _, name := range plans {
		p, found, err := job.ReadPlan(name)
		if err != nil {
			return nil, err
		}
		if len(found) > 0 {
			report.Problems(c.Err, found)
			return nil, cli.ErrProblems
		}
		class, _ := class.Unfold(p)
		texts = append(texts, calls.Texts(class, book)...)
	}
	known := map[string]bool{}
	for _, text := range texts {
		for _, w := range words.Of(text) {
			known[w] = true
		}
	}
	return known, nil
}
