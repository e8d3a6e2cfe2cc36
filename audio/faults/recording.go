package faults

import (
	"math"
	"slices"
	"time"

	"cuewright/audio"
	"cuewright/audio/speech"
)

const (
	// Silence is taken this far from the words, whose sound dies away in it, and
	// from the ends of the file, where recorders click.
	fromWords = 60 * time.Millisecond
	fromEnds  = 20 * time.Millisecond

	// voiceHighPass, in Hz and 24 dB an octave, takes away what lies under any voice.
	voiceHighPass = 80.0

	// loudest is the number of frames of 10 ms, every 2.5 ms, whose mean level
	// is that of the strongest sounds, as in trimming.
	loudest   = 8
	frameTime = 10 * time.Millisecond
	hopTime   = 2500 * time.Microsecond
)

// A recording is what the rules judge: a decoded clip and where its words lie.
type recording struct {
	clip   audio.Clip
	rate   audio.Rate
	x      []float64 // mixed to mono as for a class
	words  int       // that its text has
	heard  []float64 // x without what lies under any voice
	speech speech.Stretch
	// speechDB is the level of the words as heard.
	speechDB float64
	// silence are the samples before and after the words; either may be empty.
	silence [2][]float64
}

func newRecording(clip audio.Clip, sound audio.Sound, speech speech.Stretch, words int) *recording {
	r := &recording{clip: clip, rate: sound.Rate, words: words, speech: speech, x: make([]float64, len(sound.Samples))}
	for i, v := range sound.Samples {
		r.x[i] = float64(v)
	}
	r.heard = r.highPassed(voiceHighPass)
	audio.HighPass(r.rate, voiceHighPass).Filter(r.heard)
	r.speechDB = power(meanSquare(r.heard[speech.From:speech.To]))
	r.silence = r.around(r.x)
	return r
}

// around cuts the silences out of samples that stand for those of the recording.
func (r *recording) around(x []float64) [2][]float64 {
	words, ends := r.samples(fromWords), r.samples(fromEnds)
	from, to := max(ends, r.speech.From-words), min(len(x)-ends, r.speech.To+words)
	return [2][]float64{x[min(ends, len(x)):min(from, len(x))], x[max(to, 0):max(to, len(x)-ends)]}
}

func (r *recording) samples(t time.Duration) int { return int(r.rate.Frame(t)) }

func (r *recording) highPassed(hz float64) []float64 {
	y := slices.Clone(r.x)
	mean := meanOf(y)
	for i := range y {
		y[i] -= mean // or else the filter starts with a step
	}
	audio.HighPass(r.rate, hz).Filter(y)
	return y
}

// levels gives the power in dB of every whole frame of size, every hop.
func levels(x []float64, rate audio.Rate, size, hop time.Duration) []float64 {
	n := int(rate.Frame(size))
	var out []float64
	for i := 0; ; i++ {
		at := int(rate.Frame(time.Duration(i) * hop))
		if at+n > len(x) {
			return out
		}
		out = append(out, power(meanSquare(x[at:at+n])))
	}
}

// meanOfLoudest is the mean of the highest levels, silent where there are none.
func meanOfLoudest(db []float64) float64 {
	sorted := slices.Sorted(slices.Values(db))
	if len(sorted) == 0 {
		return silent
	}
	return meanOf(sorted[max(0, len(sorted)-loudest):])
}

// percentile gives the level that the part p of all lies under; there must be one.
func percentile(db []float64, p float64) float64 {
	sorted := slices.Sorted(slices.Values(db))
	return sorted[int(p*float64(len(sorted)-1)+0.5)]
}

func meanOf(x []float64) float64 {
	var sum float64
	for _, v := range x {
		sum += v
	}
	return sum / math.Max(1, float64(len(x)))
}

func meanSquare(x []float64) float64 {
	var sum float64
	for _, v := range x {
		sum += v * v
	}
	return sum / math.Max(1, float64(len(x)))
}
