package track

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"cuewright/audio"
	"cuewright/audio/encode"
	"cuewright/audio/flac"
	"cuewright/audio/loudness"
	"cuewright/audio/mix/pcm"
	"cuewright/audio/wav"
	"cuewright/plan"
	"cuewright/plan/settings"
)

// A Form is a kind of file a track can be written as; its name is the ending.
type Form string

// Forms with the very samples of the mix. All others are lossy.
const (
	WAV  Form = "wav"
	FLAC Form = "flac"
)

// Forms are all of them.
func Forms() []Form {
	forms := []Form{WAV, FLAC}
	for _, kind := range encode.Kinds() {
		forms = append(forms, Form(kind))
	}
	return forms
}

// FormOf is the form that a file's name asks for by its ending, in either case of
// letters. It reports whether there is one.
func FormOf(path string) (Form, bool) {
	form := Form(strings.ToLower(strings.TrimPrefix(filepath.Ext(path), ".")))
	return form, slices.Contains(Forms(), form)
}

// Lossy reports whether decoding gives other samples than those of the mix, which
// may peak higher.
func (f Form) Lossy() bool { return f != WAV && f != FLAC }

// lossyPeak is the ceiling in dBTP that a lossy form gets where the plan gives
// none, in tenths: what EBU Tech 3343 (Appendix 2) asks for before lossy coding
// (testdata/reference/loudness/targets.csv), room for what decoding adds.
const lossyPeak = -20

// ceiling is that of a plan's true peaks in the form, in dBTP.
func (f Form) ceiling(p *plan.Plan) float64 {
	if f.Lossy() && !p.Track.Peak.Pos.IsSet() {
		return tenths(lossyPeak)
	}
	return tenths(p.Track.Peak.Value)
}

// Write writes the track to an empty file, in its form. seen, which may be nil, is
// told how many of the frames are written; its error ends the work, and so does the
// end of ctx. The file is of no use after an error.
func (t *Track) Write(ctx context.Context, f *os.File, seen func(frames int64) error) error {
	switch t.Form {
	case WAV:
		return t.writeWAV(f, seen)
	case FLAC:
		return t.writeFLAC(f, seen)
	}
	return encode.File(ctx, f.Name(), string(t.Form), t.info(), func(w io.Writer) error { return t.samples(w, nil, seen) })
}

// writeWAV tells the markers and the loudness too. A track can be too long for a WAV
// file.
func (t *Track) writeWAV(f wav.File, seen func(int64) error) error {
	form := t.form()
	w, err := wav.NewWriter(f, wav.Format{FileInfo: t.info(), Software: "cuewright", Broadcast: true})
	if err != nil {
		return err
	}
	// Both channels of a stereo file are alike: one counts for both.
	meter := loudness.NewMeter(t.Rate, float64(form.Channels))
	if err := t.samples(w, meter, seen); err != nil {
		return err
	}
	w.SetLoudness(t.loudness(meter))
	return w.Close()
}

func (t *Track) writeFLAC(f flac.File, seen func(int64) error) error {
	w, err := flac.NewWriter(f, t.info())
	if err != nil {
		return err
	}
	if err := t.samples(w, nil, seen); err != nil {
		return err
	}
	return w.Close()
}

// info is what the file of the track is, in whatever form.
func (t *Track) info() audio.FileInfo {
	form := t.form()
	return audio.FileInfo{Rate: t.Rate, Channels: form.Channels, Bits: form.Bits, Frames: t.Frames,
		Markers: t.markers(), Title: t.title(), Artist: t.plan.Coach.Value}
}

// form is how the samples of the track stand in a file.
func (t *Track) form() pcm.Form {
	p := &t.plan.Track
	return pcm.Form{Bits: p.Bits.Value, Channels: p.Channels.Value, Noise: p.Silence.Value == settings.Noise}
}

// samples gives w the bytes of the track. A meter, if it is not nil, measures them.
func (t *Track) samples(w io.Writer, meter *loudness.Meter, seen func(int64) error) error {
	form := t.form()
	size := int64(form.Bits / 8 * form.Channels)
	var written int64
	err := t.Master.Write(form, t.stretch, meter, func(b []byte) error {
		if _, err := w.Write(b); err != nil {
			return err
		}
		written += int64(len(b))
		if seen == nil {
			return nil
		}
		return seen(written / size)
	})
	if err != nil {
		return fmt.Errorf("writing samples: %w", err)
	}
	return nil
}
