package main

import (
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"sync"
	"time"

	"cuewright/audio/bed"
	"cuewright/cues/track"
	"cuewright/plan/class"
	"cuewright/plan/problem"
	"cuewright/plan/units"
)

var renderCommand = &command{
	name:  "render",
	args:  "PLAN… [-o FILE|DIR] [--level LEVEL|all] [--format FORM] [--from CLOCK] [--for TIME] [--captions] [--list] [--cues LIST] [--draft] [--force]",
	short: "make the tracks of plans",
	long: `Without -o a track is written to PLAN's name with the ending .wav, or that of
--format, in the present folder; with --level the level stands in its name and title,
and all makes a track of each. wav and flac hold the same samples; mp3, m4a and opus
are written through ffmpeg where it is installed. All hold title, coach and chapters.

One line a track tells its length, the loudness of its speech as heard from two
speakers (a meter that counts one channel reads a mono file 3 LU lower), its true peak
and the problems found. A plan with errors makes no track. With --draft a computer
voice on the PATH (flite or espeak-ng), or else a soft tone of the likely length,
stands in for every text that is not recorded; the title says that it is a draft, and
so does the file name, unless -o gives one. A track that stands there and whose plan,
recordings, music and options are as they were is left as it is ("unchanged"), unless
with --force.

The true peak is that before encoding. It is held under -2 dBTP for mp3, m4a and opus
where the plan gives no peak; what a player decodes of them may peak up to 1 dB higher.
`,
	options: func(f *flag.FlagSet, s *settings) {
		voiceOption(f, s)
		settingOptions(f, s, true)
		cuesOption(f, s)
		formOptions(f, s)
		stretchOptions(f, s)
		f.BoolVar(&s.force, "force", false, "make a track even where nothing has changed since it was made")
		f.StringVar(&s.output, "o", "", "the track's `FILE`, or a folder for several")
		f.BoolVar(&s.draft, "draft", false, "let a computer voice speak what is not recorded yet")
	},
	forms: formNames(),
	run:   runRender,
}

// A render is one job's way to a file.
type render struct {
	*job
	music  *music // of its plan
	path   string
	report string // the line for standard output
	err    error
}

// planned is what becomes of one plan: its tracks, one a level.
type planned struct {
	name    string
	renders []render
	err     error
}

func runRender(c *call) error {
	if len(c.args) == 0 {
		return usageError("which plan? Give one or more plan files")
	}
	if c.set.cueList != "" && len(c.args) > 1 {
		return usageError("--cues belongs to one plan")
	}
	if err := c.set.checkStretch(); err != nil {
		return err
	}
	levels, err := c.set.levels(true)
	if err != nil {
		return err
	}
	paths, err := trackPaths(c.args, levels, &c.set)
	if err != nil {
		return err
	}
	plans := make([]planned, len(c.args))
	sideBySide(len(plans), func(i int) {
		p := &plans[i]
		p.name = c.args[i]
		var jobs []*job
		jobs, p.err = loadLevels(c.ctx, p.name, &c.set, levels)
		shared := &music{tracks: len(jobs)}
		for k, j := range jobs {
			p.renders = append(p.renders, render{job: j, music: shared, path: paths[i*len(levels)+k]})
		}
	})
	var tracks []*render
	for i := range plans {
		for k := range plans[i].renders {
			tracks = append(tracks, &plans[i].renders[k])
		}
	}
	// From here on few and large blocks without pointers are asked for, which cost the
	// collector little to look at: it may come often and keep the memory small.
	defer debug.SetGCPercent(debug.SetGCPercent(40))
	show := newProgress(c.err)
	// Tracks share the processors: a track a processor, and within it blocks.
	sideBySide(len(tracks), func(i int) {
		r := tracks[i]
		defer r.music.leave()
		if !r.hasErrors() {
			r.err = r.make(c, show)
		}
	})
	show.clear()
	return c.tell(plans)
}

// sideBySide does n things, as many at a time as there are processors.
func sideBySide(n int, do func(i int)) {
	var wait sync.WaitGroup
	slots := make(chan struct{}, runtime.GOMAXPROCS(0))
	for i := range n {
		slots <- struct{}{}
		wait.Go(func() {
			defer func() { <-slots }()
			do(i)
		})
	}
	wait.Wait()
}

// tell reports what became of plans, and returns the error to end with.
func (c *call) tell(plans []planned) error {
	var all []problem.Problem
	var err error // the last one is as good as any other to end with
	tracks := 0
	for i := range plans {
		tracks += max(1, len(plans[i].renders))
	}
	failed := func(e error) {
		err = e
		if tracks > 1 {
			fmt.Fprintf(c.err, "cuewright: %v\n", e)
		}
	}
	for i := range plans {
		p := &plans[i]
		if p.err != nil {
			failed(p.err)
			continue
		}
		var jobs []*job
		for k := range p.renders {
			jobs = append(jobs, p.renders[k].job)
		}
		if jobs[0].drafted != "" {
			fmt.Fprintf(c.err, "%s: a draft: %s\n", p.name, jobs[0].drafted)
		}
		found := acrossLevels(jobs)
		printProblems(c.err, found)
		all = append(all, found...)
		for k := range p.renders {
			switch r := &p.renders[k]; {
			case r.err != nil:
				failed(r.err)
			case r.report != "":
				fmt.Fprintln(c.out, r.report)
			case r.level() != class.NoLevel:
				fmt.Fprintf(c.err, "%s, %s: %s, no track was made\n", r.name, r.level(), tally(r.problems))
			default:
				fmt.Fprintf(c.err, "%s: %s, no track was made\n", r.name, tally(r.problems))
			}
		}
	}
	if err != nil {
		return err
	}
	return verdict(all, false)
}

// make mixes the track and writes it.
func (r *render) make(c *call, show *progress) error {
	if err := r.refuseOutputs(&c.set); err != nil {
		return err
	}
	inputs := r.inputs(&c.set)
	if figures, ok := unchanged(r.path, inputs); ok && !c.set.force {
		r.report = fmt.Sprintf("%s  %s  %s, unchanged", r.path, figures, tally(r.problems))
		return r.writeCompanions(&c.set)
	}
	under, err := r.music.take(func() (*bed.Bed, error) { return r.openMusic(c.ctx, show) })
	if err != nil {
		return err
	}
	name := trackName(r.name, r.level(), r.drafted != "")
	show.say("%s: mixing", name)
	form, _ := track.FormOf(r.path)
	t := track.New(r.list, r.speaker, form, under)
	if c.set.part() {
		if t, err = c.set.stretch(t); err != nil {
			return err
		}
	}
	err = writeFile(r.path, func(f *os.File) error {
		return t.Write(c.ctx, f, func(frames int64) error {
			show.say("%s: %d %%", name, 100*frames/t.Frames)
			return c.ctx.Err()
		})
	})
	if err != nil {
		return err
	}
	if err := r.writeCompanions(&c.set); err != nil {
		return err
	}
	length := units.FormatLength(t.Rate.Length(t.Frames).Round(time.Millisecond))
	if c.set.part() {
		length += " from " + units.FormatClock(t.Start().Round(time.Millisecond))
	}
	held := ""
	if t.Master.Held {
		held = " (held by the peak)"
	}
	loudness := "no speech"
	if !math.IsInf(t.Master.Loudness, 0) {
		loudness = fmt.Sprintf("%.1f LUFS%s", t.Master.Loudness, held)
	}
	figures := fmt.Sprintf("%s  %s  %.1f dBTP", length, loudness, t.Master.Peak)
	r.report = fmt.Sprintf("%s  %s  %s", r.path, figures, tally(r.problems))
	putStamp(r.path, inputs, figures)
	return nil
}

// refuse guards what the track is made from: an output must not overwrite it.
func (j *job) refuse(output string) error {
	if sameFile(output, j.name) {
		return fmt.Errorf("%s is the plan itself, it will not be overwritten", output)
	}
	if j.cueList != "" && sameFile(output, j.cueList) {
		return fmt.Errorf("%s is the list of --cues, it will not be overwritten", output)
	}
	if j.plan != nil && sameFile(output, j.musicPath()) {
		return fmt.Errorf("%s is the music of the plan's bed, it will not be overwritten", output)
	}
	if j.folder != "" && sameFile(filepath.Dir(output), j.folder) {
		return fmt.Errorf("%s lies in the voice's folder, where it would count as a recording: choose another", output)
	}
	return nil
}

// trackPaths decides where each plan's track of each level goes, before anything is
// made: all levels of the first plan, then those of the next.
func trackPaths(plans []string, levels []class.Level, set *settings) ([]string, error) {
	output := set.output
	info, err := os.Stat(output)
	folder := output != "" && (err == nil && info.IsDir() || os.IsPathSeparator(output[len(output)-1]))
	switch {
	case output == "-":
		return nil, usageError("a track is written to a file: its markers and sizes need one")
	case output != "" && !folder && len(plans) > 1:
		return nil, usageError(output + " is one file, but there are several plans: give a folder")
	case output != "" && !folder && len(levels) > 1:
		return nil, usageError(output + " is one file, but there are several levels: give a folder")
	case output != "" && !folder:
		return []string{output}, set.checkForm(output)
	case folder && err != nil:
		return nil, fmt.Errorf("there is no folder %s", output)
	}
	if err := set.checkForm(""); err != nil {
		return nil, err
	}
	var paths []string
	taken := map[string]string{}
	for _, p := range plans {
		for _, level := range levels {
			path := filepath.Join(output, trackName(p, level, set.draft)+set.stretchName()+set.ending())
			if other, ok := taken[path]; ok {
				return nil, fmt.Errorf("%s and %s would both be written to %s", other, p, path)
			}
			taken[path] = p
			paths = append(paths, path)
		}
	}
	return paths, nil
}
