package main

import "cuewright/cues/export"

var showCommand = &command{
	name:    "show",
	args:    "PLAN",
	short:   "show the class at a glance",
	options: voiceOption,
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
