package main

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

// musicPath is the file of the plan's bed; nothing where it has none.
func (j *job) musicPath() string {
	path := j.plan.Bed.File.Value
	if path == "" || filepath.IsAbs(path) {
		return path
	}
	return filepath.Join(filepath.Dir(j.name), path)
}

// checkMusic finds out whether the plan's bed can be played. All of it is read only
// for a track: an hour of MP3 takes a minute.
func (j *job) checkMusic(ctx context.Context) {
	path := j.musicPath()
	if path == "" {
		return
	}
	class, _ := class.Unfold(j.plan) // as long at every level
	rate := audio.Rate(j.plan.Track.Rate.Value)
	_, length := class.TrackSpan()
	if err := bed.Check(ctx, path, rate, rate.Frame(length)); err != nil {
		j.add([]problem.Problem{{Severity: problem.Error, Kind: "bed", File: j.plan.File, Pos: j.plan.Bed.File.Pos, Message: err.Error()}})
	}
}

// openMusic makes the plan's bed ready; nil where it has none.
func (j *job) openMusic(ctx context.Context, show *progress) (*bed.Bed, error) {
	path := j.musicPath()
	if path == "" {
		return nil, nil
	}
	show.say("%s: reading %s", j.stem(), filepath.Base(path))
	rate := audio.Rate(j.plan.Track.Rate.Value)
	_, length := j.class.TrackSpan()
	return bed.Prepare(ctx, path, rate, rate.Frame(length), passingFolder())
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

// passingFolder is where passing files of the size of a track go: the system's own
// folder may be held in memory.
func passingFolder() string {
	if folder := cacheFolder(); folder != "" && os.MkdirAll(folder, 0o700) == nil {
		return folder
	}
	return ""
}
