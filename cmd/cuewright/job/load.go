package job

import (
	"context"
	"fmt"
	"os"
	"slices"
	"strings"
	"sync"

	"cuewright/cues/check"
	"cuewright/cues/edit"
	"cuewright/cues/phrase"
	"cuewright/cues/track"
	"cuewright/plan"
	"cuewright/plan/class"
	"cuewright/plan/class/advise"
	"cuewright/plan/class/role"
	"cuewright/plan/fit"
	"cuewright/plan/problem"
	"cuewright/samples"
)

// samplePrefix marks a built-in plan.
const samplePrefix = "sample:"

func noSample(name string) error {
	return fmt.Errorf("there is no sample %q; there are %s", name, strings.Join(samples.Plans(), ", "))
}

// Options are what a job is asked for beside its plan. All of them may be left out.
type Options struct {
	// Voice is a folder of recordings to take instead of the plan's.
	Voice string
	// CueList is an edited list of calls (csv) to take instead of the plan's own.
	CueList string
	// Draft lets a computer voice speak what is not recorded.
	Draft bool
	// Class is what the room and its machines ask of a plan's class, but for the level;
	// its error ends the job. Nil asks for nothing.
	Class func(*plan.Plan) (class.Options, error)
	// Cache is a folder for what saves time in the next run, made when it is needed; ""
	// for none.
	Cache string
}

// A Loader makes jobs of plans. The built-in voice is opened once for all of them, and
// decoded once; a coach's own voice is opened for each plan, whose problems are then only
// those of its own recordings. A Loader is safe for use by several goroutines.
type Loader struct {
	options Options
	mu      sync.Mutex
	demo    map[voiceForm]*track.Speaker
}

// A voiceForm is what a plan's track decides about its voice.
type voiceForm struct{ rate, presence int64 }

// New is a Loader of jobs with these options.
func New(o Options) *Loader {
	return &Loader{options: o, demo: map[voiceForm]*track.Speaker{}}
}

// Load takes a plan as far as a checked list for each of the levels, of which there is
// one at least. The plan is read once, and so is its voice: the levels share its
// recordings. What is wrong with the plan, its voice or a list is in the jobs' problems;
// there is only one job where the plan has errors. The error is for what cannot be read
// at all.
func (l *Loader) Load(ctx context.Context, name string, levels ...class.Level) ([]*Job, error) {
	p, found, err := ReadPlan(name)
	if err != nil {
		return nil, err
	}
	first := &Job{Name: name, Plan: p, Problems: found, options: &l.options}
	if len(found) > 0 {
		return []*Job{first}, nil
	}
	first.checkMusic(ctx)
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	book, err := first.openVoice(ctx, l)
	if err != nil {
		return nil, err
	}
	jobs, err := first.classes(levels)
	if err != nil {
		return nil, err
	}
	if err := first.schedule(ctx, jobs, book); err != nil {
		return nil, err
	}
	for _, j := range jobs {
		problem.Sort(j.Problems)
	}
	return jobs, nil
}

// classes are the jobs of the levels, each with its class and what is wrong with that.
func (j *Job) classes(levels []class.Level) ([]*Job, error) {
	var asked class.Options
	if j.options.Class != nil {
		var err error
		if asked, err = j.options.Class(j.Plan); err != nil {
			return nil, err
		}
	}
	var jobs []*Job
	for _, level := range levels {
		of := *j
		of.Problems = slices.Clone(j.Problems)
		asked.Level = level
		c, found := asked.Unfold(j.Plan)
		of.Class = c
		of.add(found...)
		of.add(fit.Check(j.Plan, c.Length)...)
		of.add(advise.Class(c)...)
		of.add(role.Check(c)...)
		jobs = append(jobs, &of)
	}
	return jobs, nil
}

// AtLevel is the job's class for another level.
func (j *Job) AtLevel(level class.Level) *class.Class {
	o := j.Class.Options
	o.Level = level
	c, _ := o.Unfold(j.Plan)
	return c
}

// schedule makes and checks the lists of a plan's jobs, if the plan has a voice.
func (j *Job) schedule(ctx context.Context, jobs []*Job, book *phrase.Book) error {
	if j.Speaker == nil {
		return nil
	}
	if j.options.Draft {
		if err := j.standIn(ctx, book, jobs); err != nil {
			return err
		}
	}
	for _, of := range jobs {
		of.Speaker, of.Drafted = j.Speaker.Another(), j.Drafted
		if err := of.makeList(ctx, book); err != nil {
			return err
		}
	}
	return nil
}

// makeList makes the list of a job that has a speaker, or reads an edited one instead,
// and checks it.
func (j *Job) makeList(ctx context.Context, book *phrase.Book) error {
	j.List = j.Speaker.Schedule(j.Class, book)
	if err := ctx.Err(); err != nil { // or recordings would count as not there
		return err
	}
	if j.Drafted != "" {
		j.List.Title += " (draft)"
	}
	j.add(j.List.Problems...)
	if file := j.options.CueList; file != "" {
		data, err := os.ReadFile(file)
		if err != nil {
			return err
		}
		var found []problem.Problem
		j.List, found = edit.Read(file, data, j.List, j.Speaker)
		j.add(found...)
	}
	if j.List != nil {
		j.add(j.checked()...)
	}
	j.addFaults()
	return nil
}

// checked is what is wrong with the list as it will be heard. Where rows of an edited
// list were left out for their errors, what only their absence causes is not said.
func (j *Job) checked() []problem.Problem {
	found := check.List(j.List, j.Speaker)
	unread := func(p problem.Problem) bool { return p.Kind == problem.List && p.Severity == problem.Error }
	if slices.ContainsFunc(j.Problems, unread) {
		found = slices.DeleteFunc(found, func(p problem.Problem) bool {
			return slices.Contains([]problem.Kind{check.Unwarned, check.Uncounted, check.Unconfirmed, check.Gap}, p.Kind)
		})
	}
	return found
}
