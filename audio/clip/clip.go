// Package clip makes a recording ready to be mixed: decoded, mixed to mono, freed of
// DC and of the silence around its words, brought to [Level], faded at both ends, and
// its beat found. What was made is kept in a folder for the next time.
package clip

import (
	"context"
	"fmt"
	"math"
	"slices"
	"time"

	"cuewright/audio"
	"cuewright/audio/decode"
	"cuewright/audio/speech"
)

// Level is the loudness of every prepared clip in LUFS (ITU-R BS.1770, mono
// counted once), as [speech.Loudness] takes it.
const Level = -20.0

// Quietest is the loudness in LUFS, as by [speech.Loudness], under which a recording
// cannot be lifted to [Level].
const Quietest = Level - maxGain

// LeadTime and TailTime are kept around the speech of a clip.
const (
	LeadTime = 10 * time.Millisecond
	TailTime = 30 * time.Millisecond
)

const (
	// maxGain is the most that a quiet recording is lifted, in dB.
	maxGain = 40.0

	// fadeIn and fadeOut are the ramps within LeadTime and TailTime. 10 ms of fade-in would cost stop bursts 0.1 dB, 20 ms
	// up to 2.6 dB (measured for this project).
	fadeIn  = 5 * time.Millisecond
	fadeOut = 30 * time.Millisecond

	// presenceHz is the corner of the presence shelf.
	presenceHz = 1500
)

// A Clip is one recording ready to be mixed. It is shared: do not change it.
type Clip struct {
	// Samples at the rate of its [Maker], full scale ±1 (peaks may exceed it).
	Samples []float32
	// Lead and Tail are the frames before speech starts and after it ends, 10
	// and 30 ms, filled with silence where the recording has less.
	Lead, Tail int64
	// Beat is the frame, from Samples[0], at which a listener hears the clip's
	// first word fall.
	Beat int64
}

// Speech is how long the clip's speech lasts, in frames.
func (c *Clip) Speech() int64 { return int64(len(c.Samples)) - c.Lead - c.Tail }

// A Maker makes clips. It is safe for use by several goroutines.
type Maker struct {
	rate     audio.Rate
	presence float64
	cache    cache
}

// NewMaker makes clips of a rate, with everything above 1.5 kHz lifted by so many dB (a high shelf) before
// they are brought to their level. They are kept in a folder, which is made when it is needed; "" for none.
func NewMaker(rate audio.Rate, presence float64, folder string) *Maker {
	return &Maker{rate: rate, presence: presence, cache: cache{dir: folder}}
}

// narrow is the rate under which the upper range of speech is lost: half of it
// must pass the 8 kHz that consonants reach. 8 kHz is the rate of the telephone.
const narrow audio.Rate = 16000

// Make makes a clip of the bytes of a recording, or finds it made already. The warnings tell what could be
// better; they come with an error too. Neither names the file otherwise than as "name: " before all else:
// it may have another name the next time. The context ends ffmpeg, which may be run to read it.
func (m *Maker) Make(ctx context.Context, name string, data []byte) (*Clip, []string, error) {
	key := m.key(data)
	clip, warnings, ok := m.cache.load(key)
	if ok {
		return clip, warnings, nil
	}
	decoded, err := decode.Any(ctx, name, data)
	if err != nil {
		return nil, nil, err
	}
	sound, fromMono := decoded.Mono()
	warnings = slices.Concat(decoded.Warnings, fromMono)
	if decoded.Rate < narrow {
		warnings = append(warnings, fmt.Sprintf("%d Hz is telephone sound: record at 44100 or 48000 Hz", decoded.Rate))
	}
	clip, more, err := m.prepare(sound)
	if err != nil {
		return nil, warnings, err
	}
	warnings = append(warnings, more...)
	m.cache.store(key, clip, warnings)
	return clip, warnings, nil
}

// prepare makes a clip of a decoded recording.
func (m *Maker) prepare(s audio.Sound) (*Clip, []string, error) {
	if s.Rate < audio.MinRate || s.Rate > audio.MaxRate {
		return nil, nil, fmt.Errorf("has %d samples a second: %d to %d are read", s.Rate, audio.MinRate, audio.MaxRate)
	}
	x, err := speech.WithoutDC(s)
	if err != nil {
		return nil, nil, err
	}
	found, err := speech.Find(x, s.Rate)
	if err != nil {
		return nil, nil, err
	}
	piece := cut(x, found, s.Rate)
	beat := speech.Beat(piece, s.Rate)

	out := audio.Resample(audio.Sound{Rate: s.Rate, Samples: single(piece)}, m.rate)
	if m.presence != 0 {
		y := double(out.Samples)
		audio.HighShelf(m.rate, presenceHz, m.presence).Filter(y)
		out.Samples = single(y)
	}
	if err := level(out); err != nil {
		return nil, nil, err
	}
	return &Clip{
		Samples: out.Samples,
		Lead:    m.rate.Frame(LeadTime),
		Tail:    m.rate.Frame(TailTime),
		Beat:    int64(math.Round(beat * float64(m.rate))),
	}, found.Warnings(), nil
}

// cut gives the speech with its pre-roll and post-roll, faded. Where the
// recording starts or ends too near to the speech, the rest is silence and the
// ramp stands at the recording's own edge, over the first or last 5 ms of sound.
func cut(x []float64, found speech.Stretch, rate audio.Rate) []float64 {
	lead, tail := int(rate.Frame(LeadTime)), int(rate.Frame(TailTime))
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
	gain := float32(math.Pow(10, min(Level-loud, maxGain)/20))
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
