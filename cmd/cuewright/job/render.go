package job

import (
	"context"
	"os"
	"runtime"
	"runtime/debug"

	"golang.org/x/sync/errgroup"

	"cuewright/audio/bed"
	"cuewright/cues/track"
	"cuewright/plan/class"

	"cuewright/cmd/cuewright/wholefile"
)

// Wanted says which tracks to make of plans, and what to write beside them.
type Wanted struct {
	track.Excerpt
	// Levels are those of which each plan gets a track; at least one.
	Levels []class.Level
	// Captions and List ask for sidecars: files of the track's name with other endings.
	Captions, List bool
	// Force makes a track even where nothing has changed since it was made.
	Force bool
}

// A Track is one job's way to a file.
type Track struct {
	Job  *Job
	Path string
	// Figures are the track's length, loudness and peak, in words; "" where no track was
	// made, because of an error or of what is wrong with its plan.
	Figures string
	// Unchanged says that the track that was there is the one that was asked for.
	Unchanged bool
	Err       error

	music *music // of its plan
}

// A Result is what becomes of one plan: its tracks, one a level, or why there are none.
type Result struct {
	Name   string
	Tracks []*Track
	Err    error
}

// Jobs are those of the plan's tracks.
func (r *Result) Jobs() []*Job {
	var jobs []*Job
	for _, t := range r.Tracks {
		jobs = append(jobs, t.Job)
	}
	return jobs
}

// Progress is told what is done now, as a line to be formatted. It is called by several
// goroutines.
type Progress func(format string, args ...any)

// Render loads plans and makes their tracks, as many at a time as there are processors.
// paths are those of the tracks: all levels of the first plan, then those of the next.
// A plan with errors makes no track.
func (l *Loader) Render(ctx context.Context, plans, paths []string, w Wanted, progress Progress) []Result {
	results := make([]Result, len(plans))
	parallel(len(plans), func(i int) {
		r := &results[i]
		r.Name = plans[i]
		var jobs []*Job
		jobs, r.Err = l.Load(ctx, r.Name, w.Levels...)
		shared := &music{tracks: len(jobs)}
		for k, j := range jobs {
			r.Tracks = append(r.Tracks, &Track{Job: j, Path: paths[i*len(w.Levels)+k], music: shared})
		}
	})
	var tracks []*Track
	for _, r := range results {
		tracks = append(tracks, r.Tracks...)
	}
	// From here on few and large blocks without pointers are asked for, which cost the
	// collector little to look at: it may come often and keep the memory small.
	defer debug.SetGCPercent(debug.SetGCPercent(40))
	// Tracks share the processors: a track a processor, and within it blocks.
	parallel(len(tracks), func(i int) {
		t := tracks[i]
		defer t.music.leave()
		if !t.Job.HasErrors() {
			t.Err = t.render(ctx, w, progress)
		}
	})
	return results
}

// parallel does n things, as many at a time as there are processors.
func parallel(n int, do func(i int)) {
	var group errgroup.Group
	group.SetLimit(runtime.GOMAXPROCS(0))
	for i := range n {
		group.Go(func() error { do(i); return nil })
	}
	group.Wait()
}

// render mixes the track and writes it, and the sidecars.
func (t *Track) render(ctx context.Context, w Wanted, progress Progress) error {
	if err := t.guardInputs(w); err != nil {
		return err
	}
	inputs := t.inputs(w.Excerpt)
	if figures, ok := t.unchanged(inputs); ok && !w.Force {
		t.Figures, t.Unchanged = figures, true
		return t.writeSidecars(w)
	}
	under, err := t.music.take(func() (*bed.Bed, error) { return t.Job.openMusic(ctx, progress) })
	if err != nil {
		return err
	}
	name := TrackName(t.Job.Name, t.Job.Level(), t.Job.Drafted != "")
	progress("%s: mixing", name)
	form, _ := track.FormOf(t.Path)
	mixed := track.New(t.Job.List, t.Job.Speaker, form, under)
	if !w.Whole() {
		if mixed, err = mixed.Excerpt(w.Excerpt); err != nil {
			return err
		}
	}
	err = wholefile.Write(t.Path, func(f *os.File) error {
		return mixed.Write(ctx, f, func(frames int64) error {
			progress("%s: %d %%", name, 100*frames/mixed.Frames)
			return ctx.Err()
		})
	})
	if err != nil {
		return err
	}
	if err := t.writeSidecars(w); err != nil {
		return err
	}
	t.Figures = mixed.Figures()
	t.keepManifest(inputs)
	return nil
}
