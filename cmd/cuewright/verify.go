package main

import (
	"flag"
	"fmt"

	"cuewright/cues/export"
	"cuewright/cues/verify"
	"cuewright/cues/verify/recording"
)

var verifyCommand = &command{
	name:  "verify",
	args:  "PLAN TRACK [--cues LIST] [--json]",
	short: "listen to a finished track and measure it against its plan",
	long: `Listens to the file, and to nothing else, for everything the plan promises: its
length, every tone and click (where it begins, to a fraction of a frame), every call
(where it begins and ends, how loud it is), silence where silence is due, loudness,
true peak, clipping, markers or chapters, and the level of music. Each line tells what
was measured and the limit. What another sound hides is counted as not
measurable. Words are not understood: a phrase that lasts as long as the one due passes
for it. Give the same options as to render. Exit status 1 where a limit is broken.
`,
	options: func(f *flag.FlagSet, s *settings) {
		voiceOption(f, s)
		settingOptions(f, s, false)
		cuesOption(f, s)
		f.BoolVar(&s.draft, "draft", false, "the track was rendered with --draft")
		f.BoolVar(&s.json, "json", false, "print what was measured as JSON")
	},
	run: runVerify,
}

func runVerify(c *call) error {
	if len(c.args) != 2 {
		return usageError("give a plan and its track")
	}
	track, err := recording.Open(c.ctx, c.args[1])
	if err != nil {
		return err
	}
	j, err := load(c.ctx, c.args[0], &c.set)
	if err != nil {
		return err
	}
	if j.hasErrors() {
		printProblems(c.err, j.problems)
		fmt.Fprintf(c.err, "%s: %s, there is no track to compare with\n", j.name, tally(j.problems))
		return errProblems
	}
	show := newProgress(c.err)
	show.say("%s: listening", c.args[1])
	report, err := verify.Listen(c.ctx, track, j.list, j.speaker.Crest(j.list))
	show.clear()
	if err != nil {
		return fmt.Errorf("%s: %w", c.args[1], err)
	}
	if c.set.json {
		err = export.Encode(c.out, report)
	} else if _, err = fmt.Fprintf(c.out, "%s, measured against %s\n", c.args[1], c.args[0]); err == nil {
		err = report.Write(c.out)
	}
	if err == nil && !report.Right {
		err = errProblems
	}
	return err
}
