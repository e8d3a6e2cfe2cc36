package voice

import (
	"fmt"
	"math"
	"time"

	"cuewright/audio"
	"cuewright/audio/speech"
)

// Level is the loudness of every prepared clip in LUFS (ITU-R BS.1770, mono
// counted once), as [speech.Loudness] takes it.
const Level = -20.0

const (
	// mostGain is the most that a quiet recording is lifted, in dB.
	mostGain = 40.0

	// leadTime and tailTime are kept around the speech, fadeIn and fadeOut are
	// the ramps within them. 10 ms of fade-in would cost stop bursts 0.1 dB, 20 ms
	// up to 2.6 dB (measured for this project).
	leadTime = 10 * time.Millisecond
	tailTime = 30 * time.Millisecond
	fadeIn   = 5 * time.Millisecond
	fadeOut  = 30 * time.Millisecond

	// presenceHz is the corner of the presence shelf.
	presenceHz = 1500
)

// A Clip is one recording ready to be mixed. It is shared: do not change it.
type Clip struct {
	File string // name in the folder
	Text string // what it speaks, folded as by Words
	// Samples at Options.Rate, full scale ±1 (peaks may exceed it).
	Samples []float32
	// Lead and Tail are the frames before speech starts and after it ends, 10
	// and 30 ms, filled with silence where the recording has less.
	Lead, Tail int64
	// Beat is the frame, from Samples[0], at which a listener hears the clip's
	// first word fall.
	Beat int64
	// Words is the number of words in Text.
	Words int
}

// speech is how long the clip's speech lasts, in frames.
func (c *Clip) speech() int64 { return int64(len(c.Samples)) - c.Lead - c.Tail }

// prepare makes a clip of a decoded recording; its names are left empty.
func (v *Voice) prepare(s audio.Sound) (*Clip, []string, error) {
	if s.Rate < audio.MinRate || s.Rate > audio.MaxRate {
		return nil, nil, fmt.Errorf("has %d samples a second: %d to %d are read", s.Rate, audio.MinRate, audio.MaxRate)
	}
	x, err := speech.Centred(s)
	if err != nil {
		return nil, nil, err
	}
	found, err := speech.Find(x, s.Rate)
	if err != nil {
		return nil, nil, err
	}
	piece := cut(x, found, s.Rate)
	beat := speech.Beat(piece, s.Rate)

	out := audio.Resample(audio.Sound{Rate: s.Rate, Samples: single(piece)}, v.opt.Rate)
	if v.opt.Presence != 0 {
		y := double(out.Samples)
		audio.HighShelf(v.opt.Rate, presenceHz, v.opt.Presence).Filter(y)
		out.Samples = single(y)
	}
	if err := level(out); err != nil {
		return nil, nil, err
	}
	return &Clip{
		Samples: out.Samples,
		Lead:    v.opt.Rate.Frame(leadTime),
		Tail:    v.opt.Rate.Frame(tailTime),
		Beat:    int64(math.Round(beat * float64(v.opt.Rate))),
	}, found.Warnings(), nil
}

// cut gives the speech with its pre-roll and post-roll, faded. Where the
// recording starts or ends too near to the speech, the rest is silence and the
// ramp stands at the recording's own edge, over the first or last 5 ms of sound.
func cut(x []float64, found speech.Stretch, rate audio.Rate) []float64 {
	lead, tail := int(rate.Frame(leadTime)), int(rate.Frame(tailTime))
	from, to := found.From-lead, found.To+tail
	piece := make([]float64, to-from)
	first, last := max(0, from), min(len(x), to)
	copy(piece[first-from:], x[first:last])

	sound := piece[first-from : last-from]
	ramp(sound, int(rate.Frame(fadeIn)), func(i int) int { return i })
	out := min(int(rate.Frame(fadeOut)), max(int(rate.Frame(fadeIn)), last-found.To))
	ramp(sound, out, func(i int) int { return len(sound) - 1 - i })
	return piece
}

// ramp multiplies the n samples x[place(0)], x[place(1)]... by a raised cosine
// that rises from 0.
func ramp(x []float64, n int, place func(int) int) {
	n = min(n, len(x))
	for i := range n {
		x[place(i)] *= 0.5 - 0.5*math.Cos(math.Pi*float64(i)/float64(n))
	}
}

// level brings a sound to Level, in place.
func level(s audio.Sound) error {
	loud := speech.Loudness(s)
	if math.IsInf(loud, -1) {
		return speech.ErrNone
	}
	gain := float32(math.Pow(10, min(Level-loud, mostGain)/20))
	for i := range s.Samples {
		s.Samples[i] *= gain
	}
	return nil
}

func double(x []float32) []float64 {
	y := make([]float64, len(x))
	for i, v := range x {
		y[i] = float64(v)
	}
	return y
}

func single(x []float64) []float32 {
	y := make([]float32, len(x))
	for i, v := range x {
		y[i] = float32(v)
	}
	return y
}
