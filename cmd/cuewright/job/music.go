package job

import (
	"context"
	"os"
	"path/filepath"
	"sync"

	"cuewright/audio"
	"cuewright/audio/bed"
	"cuewright/plan/class"
	"cuewright/plan/problem"
)

// musicPath is the file of the plan's bed; "" where it has none.
func (j *Job) musicPath() string { return j.besidePlan(j.Plan.Bed.File.Value) }

// checkMusic finds out whether the plan's bed can be played. All of it is read only
// for a track: an hour of MP3 takes a minute.
func (j *Job) checkMusic(ctx context.Context) {
	path := j.musicPath()
	if path == "" {
		return
	}
	c, _ := class.Unfold(j.Plan) // as long at every level
	rate := audio.Rate(j.Plan.Track.Rate.Value)
	_, length := c.TrackSpan()
	if err := bed.Check(ctx, path, rate, rate.Frame(length)); err != nil {
		j.add(problem.Problem{Severity: problem.Error, Kind: problem.Bed, File: j.Plan.File, Pos: j.Plan.Bed.File.Pos, Message: err.Error()})
	}
}

// openMusic makes the plan's bed ready; nil where it has none.
func (j *Job) openMusic(ctx context.Context, progress Progress) (*bed.Bed, error) {
	path := j.musicPath()
	if path == "" {
		return nil, nil
	}
	progress("%s: reading %s", TrackName(j.Name, class.NoLevel, false), filepath.Base(path))
	rate := audio.Rate(j.Plan.Track.Rate.Value)
	_, length := j.Class.TrackSpan()
	return bed.Prepare(ctx, path, rate, rate.Frame(length), tempFolder(j.options.Cache))
}

// music is the bed of a plan, made ready once for the tracks of all its levels.
type music struct {
	mu     sync.Mutex
	tracks int // that are still to be made
	ready  bool
	bed    *bed.Bed // nil for none
	err    error
}

// take returns the bed, which the first track that needs it opens.
func (m *music) take(open func() (*bed.Bed, error)) (*bed.Bed, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if !m.ready {
		m.bed, m.err = open()
		m.ready = true
	}
	return m.bed, m.err
}

// leave tells that a track is done with; the last one closes the bed.
func (m *music) leave() {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.tracks--; m.tracks == 0 && m.bed != nil {
		m.bed.Close()
	}
}

// tempFolder is where temporary files of the size of a track go; "" for the system's own
// folder, which may be held in memory.
func tempFolder(cache string) string {
	if cache != "" && os.MkdirAll(cache, 0o700) == nil {
		return cache
	}
	return ""
}
