package main

import (
	"flag"
	"fmt"
	"strings"
)

// help is the usage of the whole program.
func help() string {
	var b strings.Builder
	b.WriteString(`cuewright renders treadmill interval classes: what a coach wrote down (a plan) and
recorded (a voice) becomes one audio track, timed to the sample, checked before
anyone runs to it.

`)
	for _, c := range commands() {
		fmt.Fprintf(&b, "  %-11s %s\n", c.name, c.short)
	}
	b.WriteString(`
A PLAN is a YAML file, or sample:harbour-steps or sample:lantern-mile, which are
built in. Without a voice of its own it is spoken by the built-in demo voice.

A session:

  $ cuewright new tuesday
  $ cuewright check tuesday/plan.yaml
  $ cuewright show tuesday/plan.yaml
  $ cuewright render tuesday/plan.yaml -o tuesday.wav
  $ cuewright verify tuesday/plan.yaml tuesday.wav

'cuewright help COMMAND' tells more. Exit status: 0 nothing wrong (warnings are
allowed, except with --strict), 1 something is wrong with a plan, voice, list or
track, 2 it could not run.
`)
	return b.String()
}

// help is the usage of one command.
func (c *command) help(flags *flag.FlagSet) string {
	var b strings.Builder
	fmt.Fprintf(&b, "cuewright %s %s\n\n%s\n", c.name, c.args, c.short)
	if c.long != "" {
		fmt.Fprintf(&b, "\n%s", c.long)
	}
	first := true
	flags.VisitAll(func(f *flag.Flag) {
		if first {
			b.WriteString("\nOptions:\n")
			first = false
		}
		dash := "--"
		if len(f.Name) == 1 {
			dash = "-"
		}
		value, text := flag.UnquoteUsage(f)
		name := dash + f.Name
		if value != "" {
			name += " " + value
		}
		fmt.Fprintf(&b, "  %-16s %s\n", name, text)
	})
	return b.String()
}
