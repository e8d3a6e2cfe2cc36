package main

import (
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"sync"

	"cuewright/cues/track"
	"cuewright/plan"
)

var renderCommand = &command{
	name:  "render",
	args:  "PLAN… [-o FILE|DIR] [--format FORM] [--captions] [--list] [--cues LIST] [--draft]",
	short: "make the tracks of plans",
	long: `Without -o a track is written to PLAN's name with the ending .wav, or that of
--format, in the present folder. wav and flac hold the same samples; mp3, m4a and
opus are written through ffmpeg where it is installed, under -2 dBTP where the plan
gives no peak. All hold title, coach and chapters. One line a track tells its length, its loudness as heard from two speakers
(a meter that counts one channel reads a mono file 3 LU lower), its true peak and
the problems found. A plan with errors makes no track. With --draft a computer voice
on the PATH (flite or espeak-ng), or else a soft tone of the likely length, stands in
for every text that is not recorded; title and file name say that it is a draft.
`,
	options: func(f *flag.FlagSet, s *settings) {
		voiceOption(f, s)
		cuesOption(f, s)
		formOptions(f, s)
		f.StringVar(&s.output, "o", "", "the track's `FILE`, or a folder for several")
		f.BoolVar(&s.draft, "draft", false, "let a computer voice speak what is not recorded yet")
	},
	forms: formNames(),
	run:   runRender,
}

// A render is one plan's way to a file.
type render struct {
	*job
	path   string
	report string // the line for standard output
	err    error
}

func runRender(c *call) error {
	if len(c.args) == 0 {
		return usageError("which plan? Give one or more plan files")
	}
	if c.set.cueList != "" && len(c.args) > 1 {
		return usageError("--cues belongs to one plan")
	}
	paths, err := trackPaths(c.args, &c.set)
	if err != nil {
		return err
	}
	renders := make([]render, len(c.args))
	show := newProgress(c.err)
	// Plans share the processors: a plan a processor, and within it blocks.
	var wait sync.WaitGroup
	slots := make(chan struct{}, runtime.GOMAXPROCS(0))
	for i := range renders {
		slots <- struct{}{}
		wait.Go(func() {
			defer func() { <-slots }()
			r := &renders[i]
			r.path = paths[i]
			r.job, r.err = load(c.ctx, c.args[i], &c.set)
			if r.err == nil && !r.hasErrors() {
				r.err = r.make(c, show)
			}
		})
	}
	wait.Wait()
	show.clear()
	var all []plan.Problem
	for i := range renders {
		r := &renders[i]
		if r.err != nil {
			err = r.err // the last one is as good as any other to end with
			if len(renders) > 1 {
				fmt.Fprintf(c.err, "cuewright: %v\n", r.err)
			}
			continue
		}
		if r.drafted != "" {
			fmt.Fprintf(c.err, "%s: a draft: %s\n", r.name, r.drafted)
		}
		printProblems(c.err, r.problems)
		all = append(all, r.problems...)
		if r.report != "" {
			fmt.Fprintln(c.out, r.report)
		} else {
			fmt.Fprintf(c.err, "%s: %s, no track was made\n", r.name, tally(r.problems))
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
	show.say("%s: mixing", r.stem())
	form, _ := track.FormOf(r.path)
	form.Prepare(r.plan)
	t := track.New(r.list, r.speaker)
	err := writeFile(r.path, func(f *os.File) error {
		return t.Write(c.ctx, form, f, func(frames int64) error {
			show.say("%s: %d %%", r.stem(), 100*frames/t.Frames)
			return c.ctx.Err()
		})
	})
	if err != nil {
		return err
	}
	if err := r.writeCompanions(&c.set); err != nil {
		return err
	}
	_, length := r.class.Frames()
	held := ""
	if t.Master.Held {
		held = " (held by the peak)"
	}
	loudness := "no speech"
	if !math.IsInf(t.Master.Loudness, 0) {
		loudness = fmt.Sprintf("%.1f LUFS%s", t.Master.Loudness, held)
	}
	r.report = fmt.Sprintf("%s  %s  %s  %.1f dBTP  %s", r.path, plan.Minutes(length), loudness, t.Master.Peak, tally(r.problems))
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
	if j.folder != "" && sameFile(filepath.Dir(output), j.folder) {
		return fmt.Errorf("%s lies in the voice's folder, where it would count as a recording: choose another", output)
	}
	return nil
}

// trackPaths decides where each plan's track goes, before anything is made.
func trackPaths(plans []string, set *settings) ([]string, error) {
	output := set.output
	info, err := os.Stat(output)
	folder := output != "" && (err == nil && info.IsDir() || os.IsPathSeparator(output[len(output)-1]))
	switch {
	case output == "-":
		return nil, usageError("a track is written to a file: its markers and sizes need one")
	case output != "" && !folder && len(plans) > 1:
		return nil, usageError(output + " is one file, but there are several plans: give a folder")
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
		path := filepath.Join(output, trackName(p, set))
		if other, ok := taken[path]; ok {
			return nil, fmt.Errorf("%s and %s would both be written to %s", other, p, path)
		}
		taken[path] = p
		paths = append(paths, path)
	}
	return paths, nil
}
