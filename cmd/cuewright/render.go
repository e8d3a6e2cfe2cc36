package main

import (
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"

	"cuewright/audio/wav"
	"cuewright/cues/track"
	"cuewright/plan"
)

var renderCommand = &command{
	name:  "render",
	args:  "PLAN… [-o FILE|DIR] [--cues LIST] [--draft]",
	short: "make the tracks of plans",
	long: `Without -o a track is written to PLAN's name with the ending .wav in the present
folder. One line a track tells its length, its loudness as heard from two speakers
(a meter that counts one channel reads a mono file 3 LU lower), its true peak and
the problems found. A plan with errors makes no track. With --draft a computer voice
on the PATH (flite or espeak-ng), or else a soft tone of the likely length, stands in
for every text that is not recorded; title and file name say that it is a draft.
`,
	options: func(f *flag.FlagSet, s *settings) {
		voiceOption(f, s)
		cuesOption(f, s)
		f.StringVar(&s.output, "o", "", "the track's `FILE`, or a folder for several")
		f.BoolVar(&s.draft, "draft", false, "let a computer voice speak what is not recorded yet")
	},
	run: runRender,
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
	if err := r.refuse(r.path); err != nil {
		return err
	}
	music, err := r.openMusic(c.ctx, show)
	if err != nil {
		return err
	}
	if music != nil {
		defer music.Close()
	}
	show.say("%s: mixing", r.stem())
	t := track.New(r.list, r.speaker, music)
	size := int64(t.Frames) * int64(r.plan.Track.Bits.Value/8*r.plan.Track.Channels.Value)
	err = writeFile(r.path, func(f *os.File) error {
		return t.WriteWAV(&watched{File: f, seen: func(written int64) error {
			show.say("%s: %d %%", r.stem(), min(100, 100*written/size))
			return c.ctx.Err()
		}})
	})
	if err != nil {
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

// watched is a file that tells how much was written to it; an error of seen
// stops the writing.
type watched struct {
	wav.File
	written int64
	seen    func(written int64) error
}

func (w *watched) Write(p []byte) (int, error) {
	w.written += int64(len(p))
	if err := w.seen(w.written); err != nil {
		return 0, err
	}
	return w.File.Write(p)
}

// refuse guards what the track is made from: an output must not overwrite it.
func (j *job) refuse(output string) error {
	if sameFile(output, j.name) {
		return fmt.Errorf("%s is the plan itself, it will not be overwritten", output)
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
		if ext := filepath.Ext(output); !strings.EqualFold(ext, ".wav") {
			return nil, usageError(fmt.Sprintf("a track is written as .wav, not as %q", ext))
		}
		return []string{output}, nil
	case folder && err != nil:
		return nil, fmt.Errorf("there is no folder %s", output)
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
