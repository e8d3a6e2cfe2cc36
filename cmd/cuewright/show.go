package main

import (
	"flag"

	"cuewright/cues/export"
)

var showCommand = &command{
	name:  "show",
	args:  "PLAN [--level LEVEL]",
	short: "show the class at a glance",
	options: func(f *flag.FlagSet, s *settings) {
		voiceOption(f, s)
		settingOptions(f, s, false)
	},
	run: func(c *call) error {
		name, err := c.onePlan()
		if err != nil {
			return err
		}
		j, err := load(c.ctx, name, &c.set)
		if err != nil {
			return err
		}
		printProblems(c.err, j.problems)
		if j.class == nil {
			return errProblems
		}
		if err := export.Show(c.out, j.class); err != nil {
			return err
		}
		return verdict(j.problems, false)
	},
}
