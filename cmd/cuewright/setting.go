package main

import (
	"flag"
	"fmt"
	"slices"
	"strings"

	"cuewright/plan"
	"cuewright/plan/class"
	"cuewright/plan/problem"
	"cuewright/plan/units"
)

// allLevels asks for a track of each level.
const allLevels = "all"

// settingOptions are those of every command that makes a class of a plan; several
// tells whether it can make one of each level.
func settingOptions(f *flag.FlagSet, s *settings, several bool) {
	levels := "call one number of each range: `LEVEL` is " + levelNames(several)
	f.StringVar(&s.level, "level", "", levels)
	f.StringVar(&s.units, "units", "", "call speeds in the `UNIT` of the room: "+strings.Join(units.Names(), ", "))
	f.StringVar(&s.step, "step", "", "the treadmill's smallest `STEP`: 0.1, or 5s for paces, without it")
	f.StringVar(&s.cadence, "cadence", "", "the step `RATE` of the efforts that have a cadence: 176, or the plan's changed by +5%")
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

// levels are those asked for: one, which may be none, or all where several are possible.
func (s *settings) levels(several bool) ([]class.Level, error) {
	level, known := class.ReadLevel(s.level)
	switch {
	case s.level == "":
		return []class.Level{class.NoLevel}, nil
	case known:
		return []class.Level{level}, nil
	case s.level == allLevels && several && s.cueList != "":
		return nil, usageError("--cues belongs to one level, not to all")
	case s.level == allLevels && several:
		return slices.Clone(class.Levels), nil
	}
	return nil, usageError(fmt.Sprintf("--level %s is not known here; accepted: %s", s.level, levelNames(several)))
}

// setting is what the options ask of a plan.
func (s *settings) setting(p *plan.Plan, level class.Level) (class.Options, error) {
	set := class.Options{Level: level}
	room := units.Unit(p.Units.Value)
	if s.units != "" {
		u, ok := units.Read(s.units)
		if !ok {
			return set, usageError(fmt.Sprintf("--units %s is not known; accepted: %s", s.units, strings.Join(units.Names(), ", ")))
		}
		set.Units, room = u, u
	}
	if s.step != "" {
		step, ok := room.ReadStep(s.step)
		if !ok {
			accepted := "0.1 to 2, with one decimal, are"
			if room.Pace() {
				accepted = "whole seconds from 1s to 60s are"
			}
			return set, usageError(fmt.Sprintf("--step %s does not fit %s, called in %s: %s accepted", s.step, p.File, room, accepted))
		}
		set.Step = step
	}
	if s.cadence != "" {
		c, err := class.ReadCadence(s.cadence)
		if err != nil {
			return set, usageError("--cadence " + err.Error())
		}
		set.Cadence = c
	}
	return set, nil
}

// acrossLevels are the problems of one plan's classes, sorted, each once; those that
// not every level has say which have them.
func acrossLevels(jobs []*job) []problem.Problem {
	var all []problem.Problem
	levels := map[problem.Problem][]string{}
	for _, j := range jobs {
		for _, p := range j.problems {
			of := levels[p]
			if of == nil {
				all = append(all, p)
			}
			if level := string(j.level()); !slices.Contains(of, level) {
				levels[p] = append(of, level)
			}
		}
	}
	for i, p := range all {
		if of := levels[p]; len(of) < len(jobs) {
			all[i].Message += " (level " + strings.Join(of, ", ") + ")"
		}
	}
	problem.Sort(all)
	return all
}
