// Package listen finds known sounds in a recording: the tones of a count and the clicks
// of a cadence. It shares no code with what makes them, so that one mistake cannot hide
// in both: what they are is written down here a second time.
//
// A [ToneDetector] hears tones wherever they are, to a millisecond. A [MatchedFilter] looks near the
// place where a sound is due, by least squares: for the place, to a fraction of a frame,
// from which the known sound explains most of what is heard.
package listen

import (
	"math"

	"cuewright/audio"
)

// A Shape is a sound that is the same every time.
type Shape int

// Tones are those before LeftClick.
const (
	ShortTone Shape = iota
	LongTone
	LeftClick
	RightClick
)

// IsTone reports a tone of the count.
func (s Shape) IsTone() bool { return s < LeftClick }

// PhaseStep is how far a tone turns in a frame, in radians.
func PhaseStep(rate audio.Rate) float64 { return 2 * math.Pi * pitch / float64(rate) }

// The known sounds, as the project documents them: a tone is a cosine of 1 kHz
// from its first frame on; a click is two partials, 1 : 0.6, that decay with
// 12 ms, the second foot three semitones lower and 2 dB softer. All swell for 1 ms
// along a raised cosine.
const (
	pitch     = 1000.0 // Hz
	swellTime = 1.0    // ms
	decayTime = 12.0   // ms
)

var partials = map[Shape][2]float64{LeftClick: {1200, 2900}, RightClick: {1010, 2440}}

// swell is the raised cosine: frame i of n.
func swell(i int, n float64) float64 {
	return 0.5 * (1 - math.Cos(math.Pi*min(1, (float64(i)+1)/(n+1))))
}

// model is the beginning of a sound, n frames of it, of peak about 1.
func model(s Shape, rate audio.Rate, n int) []float64 {
	perMS := float64(rate) / 1000
	ramp := math.Round(swellTime * perMS)
	out := make([]float64, n)
	for i := range out {
		turns := float64(i) / float64(rate)
		v := math.Cos(2 * math.Pi * pitch * turns)
		if p, ok := partials[s]; ok {
			v = math.Cos(2*math.Pi*p[0]*turns) + 0.6*math.Cos(2*math.Pi*p[1]*turns)
			v *= math.Exp(-float64(i) / (decayTime * perMS))
			if s == RightClick {
				v *= math.Pow(10, -2.0/20)
			}
		}
		out[i] = v * swell(i, ramp)
	}
	return out
}
