// Package options holds the options that several commands have in common, each read and
// checked once.
package options

import (
	"flag"
	"fmt"
	"slices"
	"strings"

	"cuewright/cmd/cuewright/cli"
	"cuewright/cmd/cuewright/job"
	"cuewright/plan"
	"cuewright/plan/class"
	"cuewright/plan/class/effort"
	"cuewright/plan/units"
)

// allLevels asks for a track of each level.
const allLevels = "all"

// Class are the options of every command that makes a class of a plan and has a voice
// speak it.
type Class struct {
	several                            bool // whether the command can make a class of each level
	voice, level, units, step, cadence string
}

// Define adds the options to a command's; several tells whether it can make a class of
// each level.
func (o *Class) Define(f *flag.FlagSet, several bool) {
	o.several = several
	f.StringVar(&o.voice, "voice", "", "the `DIR` of recordings, instead of the plan's")
	f.StringVar(&o.level, "level", "", "call one number of each range: `LEVEL` is "+levelNames(several))
	f.StringVar(&o.units, "units", "", "call speeds in the `UNIT` of the room: "+strings.Join(units.Names(), ", "))
	f.StringVar(&o.step, "step", "", "the treadmill's smallest `STEP`: 0.1, or 5s for paces, without it")
	f.StringVar(&o.cadence, "cadence", "", "the step `RATE` of the efforts that have a cadence: 176, or the plan's changed by +5%")
}

// Job is what they ask of a job.
func (o *Class) Job() job.Options {
	return job.Options{Voice: o.voice, Class: o.of, Cache: cacheFolder()}
}

// CueList adds the option of commands that take an edited list.
func CueList(f *flag.FlagSet, list *string) {
	f.StringVar(list, "cues", "", "an edited `LIST` (csv) instead of the plan's own calls")
}

// Mass adds the option of commands that estimate what a class asks of a body.
func Mass(f *flag.FlagSet, mass *effort.Mass) {
	f.Func("mass", "kilocalories for a body of this `MASS`: 70kg, 154lb", func(text string) (err error) {
		*mass, err = effort.ParseMass(text)
		return err
	})
}

func levelNames(several bool) string {
	var names []string
	for _, l := range class.Levels {
		names = append(names, string(l))
	}
	if several {
		names = append(names, allLevels)
	}
	return strings.Join(names, ", ")
}

// Levels are those asked for: one, which may be none, or all where several are possible.
// cueList is an edited list that the command was given, if any.
func (o *Class) Levels(cueList string) ([]class.Level, error) {
	level, known := class.ReadLevel(o.level)
	switch {
	case o.level == "":
		return []class.Level{class.NoLevel}, nil
	case known:
		return []class.Level{level}, nil
	case o.level == allLevels && o.several && cueList != "":
		return nil, cli.UsageError("--cues belongs to one level, not to all")
	case o.level == allLevels && o.several:
		return slices.Clone(class.Levels), nil
	}
	return nil, cli.UsageError(fmt.Sprintf("--level %s is not known here; accepted: %s", o.level, levelNames(o.several)))
}

// of is what the options ask of a plan, but for the level.
func (o *Class) of(p *plan.Plan) (class.Options, error) {
	var set class.Options
	room := p.Units.Value
	if o.units != "" {
		u, ok := units.Read(o.units)
		if !ok {
			return set, cli.UsageError(fmt.Sprintf("--units %s is not known; accepted: %s", o.units, strings.Join(units.Names(), ", ")))
		}
		set.Units, room = u, u
	}
	if o.step != "" {
		step, ok := room.ReadStep(o.step)
		if !ok {
			accepted := "0.1 to 2, with one decimal, are"
			if room.Pace() {
				accepted = "whole seconds from 1s to 60s are"
			}
			return set, cli.UsageError(fmt.Sprintf("--step %s does not fit %s, called in %s: %s accepted", o.step, p.File, room, accepted))
		}
		set.Step = step
	}
	if o.cadence != "" {
		c, err := class.ReadCadence(o.cadence)
		if err != nil {
			return set, cli.UsageError("--cadence " + err.Error())
		}
		set.Cadence = c
	}
	return set, nil
}
