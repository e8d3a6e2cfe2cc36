package verify

import (
	"context"
	"slices"

	"cuewright/cues"
	"cuewright/cues/verify/container"
	"cuewright/cues/verify/expect"
	"cuewright/cues/verify/measure"
	"cuewright/cues/verify/recording"
	"cuewright/cues/verify/report"
)

// Listen measures a recording against the list it should hold. crest is how far the
// highest sample of the recordings spoken in it stands over their loudness as heard
// from two speakers, in dB: it tells whether the ceiling can hold the loudness down. The
// error is for a recording that cannot be read to its end.
func Listen(ctx context.Context, rec *recording.Recording, list *cues.List, crest float64) (*report.Report, error) {
	want := expect.Of(list, rec.Rate, rec.Lossy)
	hearing := hearingFor(rec, want)
	heard, err := measure.Listen(ctx, rec, want, hearing)
	if err != nil {
		return nil, err
	}
	return Judge(want, heard, crest), nil
}

// Judge compares what was heard of a track with what is expected of it. crest is that of
// Listen.
func Judge(want *expect.Expected, heard *measure.Measurements, crest float64) *report.Report {
	j := &judge{want: want, heard: heard, hearing: hearingFor(heard.Recording, want), crest: crest}
	return j.report()
}

// report brings what was heard together.
func (j *judge) report() *report.Report {
	r := &report.Report{Form: container.Form(j.want, j.heard), Right: true}
	r.Checks = append(r.Checks, container.CheckForm(j.want, j.heard), container.CheckLength(j.want, j.heard), j.place(report.Tones, j.want.Tones, j.heard.Tones, &j.tones))
	if len(j.want.Clicks) > 0 {
		r.Checks = append(r.Checks, j.place(report.Clicks, j.want.Clicks, j.heard.Clicks, &j.clicks))
	}
	r.Checks = append(r.Checks, j.calls(false))
	if slices.ContainsFunc(j.want.Calls, func(c expect.Call) bool { return c.Counted }) {
		r.Checks = append(r.Checks, j.calls(true))
	}
	if j.want.Bed {
		r.Checks = append(r.Checks, j.bed())
	} else {
		r.Checks = append(r.Checks, j.silence(), j.pauses())
	}
	r.Checks = append(r.Checks, j.loudness(), j.peak(), j.clipping(), container.CheckMarkers(j.want, j.heard))
	for i := range r.Checks {
		c := &r.Checks[i]
		c.Right = len(c.Faults) == 0
		r.Right = r.Right && c.Right
		if c.Faults == nil {
			c.Faults = []report.Fault{}
		}
		if c.Name == report.Tones || c.Name == report.Clicks || c.Name == report.Markers {
			for _, f := range c.Faults {
				r.Note(f.ErrorMS)
			}
		}
	}
	r.Note(j.want.InMS(j.tones.Worst))
	r.Note(j.want.InMS(j.clicks.Worst))
	if !r.Right {
		r.LooksLike = j.looksLike()
	}
	return r
}
