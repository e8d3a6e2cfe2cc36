package track

import (
	"fmt"
	"slices"
	"time"

	"cuewright/audio"
	"cuewright/audio/mix"
	"cuewright/plan/units"
)

// Part is the stretch of the track from one class time up to another, cut to the track:
// its samples are those of the whole. The error is for a stretch with nothing in it.
func (t *Track) Part(from, to time.Duration) (*Track, error) {
	start, length := t.list.Class.TrackSpan()
	from, to = max(from, -start), min(to, length-start)
	if from >= to {
		return nil, fmt.Errorf("the track goes from %s to %s: nothing of it lies in the stretch asked for", units.FormatClock(-start), units.FormatClock(length-start))
	}
	part := *t
	part.stretch = mix.Span{From: t.Rate.Frame(start + from), To: t.Rate.Frame(start + to)}
	part.Frames = part.stretch.To - part.stretch.From
	return &part, nil
}

// isPart reports whether less than the whole is written.
func (t *Track) isPart() bool {
	_, length := t.list.Class.TrackSpan()
	return t.Frames != t.Rate.Frame(length)
}

// Start is the class time at which the track begins as it is written.
func (t *Track) Start() time.Duration {
	start, _ := t.list.Class.TrackSpan()
	return t.Rate.Length(t.stretch.From) - start
}

// title is the list's, with the place of a part.
func (t *Track) title() string {
	if !t.isPart() {
		return t.list.Title
	}
	return fmt.Sprintf("%s, from %s", t.list.Title, units.FormatClock(t.Start().Round(time.Millisecond)))
}

// markers are those of the stretch that is written, which begins with what it is in
// the middle of.
func (t *Track) markers() []audio.Marker {
	all := allMarkers(t.list.Class, t.Rate)
	first := 0
	for i, m := range all {
		if m.Frame <= t.stretch.From {
			first = i
		}
	}
	all = slices.Clone(all[first:])
	all = slices.DeleteFunc(all, func(m audio.Marker) bool { return m.Frame >= t.stretch.To && t.isPart() })
	for i := range all {
		all[i].Frame = max(0, all[i].Frame-t.stretch.From)
	}
	return all
}
