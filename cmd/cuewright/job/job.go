// Package job takes a plan to a track: it reads the plan, makes its class, opens its
// voice and its music, has its calls placed or reads an edited list of them, checks what
// will be heard, and writes the track if there is anything new to write. It prints
// nothing: what is wrong is in a [Job]'s problems, what was made in a [Result].
package job

import (
	"io/fs"
	"path/filepath"
	"strings"

	"cuewright/cues"
	"cuewright/cues/track"
	"cuewright/plan"
	"cuewright/plan/class"
	"cuewright/plan/problem"
	"cuewright/samples"
)

// A Job is one plan, at one level, on its way to a track.
type Job struct {
	// Name is the plan as the user gave it: a file, or a built-in plan by its prefix.
	Name  string
	Plan  *plan.Plan
	Class *class.Class // nil where the plan has errors
	// Speaker is nil where there is no class, or no voice that can be read.
	Speaker *track.Speaker
	// List is nil where there is no speaker, and where an edited one cannot be read.
	List *cues.List
	// Drafted tells what is not recorded and who speaks it; "" for a full voice.
	Drafted string
	// Problems are those of everything so far, sorted.
	Problems []problem.Problem

	options *Options
	folder  string // of the voice; "" for the built-in one
	files   fs.FS  // of the voice
}

// Level is the one the class was made for.
func (j *Job) Level() class.Level {
	if j.Class == nil {
		return class.NoLevel
	}
	return j.Class.Options.Level
}

// HasErrors reports whether the track must not be made.
func (j *Job) HasErrors() bool { return problem.HasErrors(j.Problems) }

func (j *Job) add(found ...problem.Problem) { j.Problems = append(j.Problems, found...) }

// ReadPlan reads a plan by the name the user gave: a file, or one of the built-in ones.
// A plan with problems must not be unfolded; the error is for one that cannot be read at
// all.
func ReadPlan(name string) (*plan.Plan, []problem.Problem, error) {
	sample, ok := strings.CutPrefix(name, samplePrefix)
	if !ok {
		return plan.Load(name)
	}
	data, err := samples.Plan(sample)
	if err != nil {
		return nil, nil, noSample(sample)
	}
	p, found := plan.Read(name, data)
	return p, found, nil
}

// TrackName is the file name of the track of a plan by that name, without its ending.
func TrackName(name string, level class.Level, draft bool) string {
	base := filepath.Base(strings.TrimPrefix(name, samplePrefix))
	track := strings.TrimSuffix(base, filepath.Ext(base))
	if level != class.NoLevel {
		track += "-" + string(level)
	}
	if draft {
		track += "-draft"
	}
	return track
}
