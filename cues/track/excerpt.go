package track

import (
	"fmt"
	"math"
	"time"

	"cuewright/plan/units"
)

// An Excerpt is a stretch of a track, in class time; the zero Excerpt is the whole track.
type Excerpt struct {
	Later  bool          // begins at From and not with the track
	From   time.Duration // counts only with Later
	Length time.Duration // 0 for all that follows
}

// Whole reports whether the excerpt leaves nothing out.
func (e Excerpt) Whole() bool { return e == Excerpt{} }

// Excerpt cuts the track to an excerpt; the error is for one with nothing in it.
func (t *Track) Excerpt(e Excerpt) (*Track, error) {
	from, to := time.Duration(math.MinInt64), time.Duration(math.MaxInt64)
	if e.Later {
		from = e.From
	}
	if e.Length > 0 {
		to = max(from, t.Start()) + e.Length
	}
	part, err := t.Part(from, to)
	if err == nil {
		part.cut = true
	}
	return part, err
}

// Figures tell of a track that was written how long and loud it is, and how high its
// peak; of an excerpt also where it begins.
func (t *Track) Figures() string {
	length := units.FormatLength(t.Rate.Length(t.Frames).Round(time.Millisecond))
	if t.cut {
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
	return fmt.Sprintf("%s  %s  %.1f dBTP", length, loudness, t.Master.Peak)
}
