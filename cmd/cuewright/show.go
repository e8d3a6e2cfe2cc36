package main

import (
	"flag"

	"cuewright/plan/class/effort"
	"cuewright/plan/class/show"
)

var showCommand = &command{
	name:  "show",
	args:  "PLAN [--level LEVEL] [--mass 70kg]",
	short: "show the class at a glance",
	long: `Parts, sets folded, clock, targets, estimated effort, the ground and the totals.
The effort is an estimate by published equations, each inside the speeds it was
made for; between walking and running there is one where the plan says gait: run.
`,
	options: func(f *flag.FlagSet, s *settings) {
		voiceOption(f, s)
		settingOptions(f, s, false)
		massOption(f, s)
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
		if err := show.Show(c.out, j.class, c.set.mass); err != nil {
			return err
		}
		return verdict(j.problems, false)
	},
}

// massOption is for commands that estimate what a class asks of a body.
func massOption(f *flag.FlagSet, s *settings) {
	f.Func("mass", "kilocalories for a body of this `MASS`: 70kg, 154lb", func(text string) (err error) {
		s.mass, err = effort.ParseMass(text)
		return err
	})
}
