// Package measure listens to a finished track and tells in numbers what is heard of each
// thing expected. It knows no limits and judges nothing.
//
// A track is heard block by block, twice: first for the tones, wherever they are, which
// tells how the track lies against its list; then for everything expected.
package measure

import (
	"context"
	"math"

	"cuewright/audio/listen"
	"cuewright/cues/verify/expect"
	"cuewright/cues/verify/recording"
)

// Measurements are what was heard of a track. Onsets and calls stand in the order in
// which they are expected.
type Measurements struct {
	Recording *recording.Recording
	Frames    int64 // of the file
	Alignment Alignment
	Tones     []Onset
	Clicks    []Onset
	Calls     []Call
	Levels    Levels
	Silence   Silence
	Music     Music // zero where none is expected
}

// An Onset is what was heard of one tone or click.
type Onset struct {
	// Fit is the place that explains best what is heard, less the shift of the alignment.
	listen.Fit
	// Power is the energy of what was heard, Energy that of the sound at a gain of 1.
	Power, Energy float64
	Near          float64 // frames searched at first
}

// Levels are the peaks and the loudness of a track.
type Levels struct {
	Loudness float64 // LUFS of all calls joined end to end, as from two speakers; -Inf without
	Peak     float64 // true peak in dBTP
	Apart    float64 // how far its channels differ at most, linear
	Flat     []expect.Span
}

// Silence is what was heard where silence is expected.
type Silence struct {
	Spans  []expect.Span // that were listened to
	Frames int64         // of them all
	Bursts []Burst
	// LongestZero is the longest digital silence where a floor of noise is expected.
	LongestZero expect.Span
}

// Music is what was heard of the music where nothing else sounds.
type Music struct {
	Free, Down Passages    // where nobody speaks, and beside calls
	Ends       [2]Passages // the first moments and the last
}

// Passages are stretches of music, measured as if joined end to end.
type Passages struct {
	Frames   int64
	Loudness float64 // LUFS, as from two speakers
	Level    float64 // RMS in dBFS
}

// Hearing is how silence is listened to. Limit is the RMS of 10 ms from which sound is
// noted, 0 for every sample that is not zero; Guard is how many frames beside sounds are
// left out.
type Hearing struct {
	Limit float64
	Guard int64
}

// Listen measures a recording against what is expected of it. The error is for a recording
// that cannot be read to its end.
func Listen(ctx context.Context, rec *recording.Recording, e *expect.Expected, h Hearing) (*Measurements, error) {
	m := &Measurements{Recording: rec}
	s := listen.NewToneDetector(rec.Rate)
	if _, err := rec.Blocks(func(x []float32) { s.Hear(x) }, nil); err != nil {
		return nil, err
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	m.Alignment = align(s.Tones(), e)
	shift := m.Alignment.Shift
	if shift != 0 {
		h.Guard += e.MS(2) // it is known to a millisecond
	}
	tones, clicks := newOnsets(e, e.Tones, shift), newOnsets(e, e.Clicks, shift)
	silent := newSilences(e, shift, h)
	if e.Bed {
		silent.spans = nil
	}
	heard := &calls{d: e, shift: shift}
	loud := newLevels(e, shift, rec.Rate, rec.Channels)
	all := []analyser{tones, clicks, silent, heard, loud}
	var bed *music
	if e.Bed {
		bed = newMusic(e, shift)
		all = append(all, bed)
	}
	w := &window{keep: lookBack(e)}
	var err error
	m.Frames, err = rec.Blocks(func(x []float32) {
		w.add(x)
		for _, a := range all {
			a.hear(w)
		}
	}, loud.add)
	if err == nil {
		err = ctx.Err()
	}
	if err != nil {
		return nil, err
	}
	w.over = true
	for _, a := range all {
		a.hear(w)
	}
	m.Tones, m.Clicks, m.Calls = tones.onsets(), clicks.onsets(), heard.heard
	m.Levels = Levels{Loudness: loud.meter.Integrated(), Peak: 20 * math.Log10(loud.peak()), Apart: loud.apart, Flat: loud.clips}
	m.Silence = Silence{Spans: silent.spans, Frames: silent.frames, Bursts: silent.bursts, LongestZero: silent.longest.Span}
	if bed != nil {
		m.Music = Music{Free: bed.free.passages(), Down: bed.down.passages(), Ends: [2]Passages{bed.ends[0].passages(), bed.ends[1].passages()}}
	}
	return m, nil
}

// lookBack is how many frames an analyser may look back.
func lookBack(e *expect.Expected) int {
	longest := e.MS(1000)
	for _, c := range e.Calls {
		longest = max(longest, c.To-c.From+e.MS(lookFore+lookPast+100))
	}
	return int(longest)
}
