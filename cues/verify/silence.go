package verify

import (
	"math"
)

// silences hears whether it is silent where silence is due.
type silences struct {
	walk
	done   int
	limit  float64 // RMS of a hop; 0 wants digital silence
	noise  bool    // a floor is due: digital silence is a fault
	hop    int64
	soiled []soil
	frames int64 // of silence heard
	hush   soil  // the longest digital silence where noise is due
	still  soil
}

// A soil is a stretch that should be silent and is not.
type soil struct {
	span
	most float64 // largest magnitude, or RMS where there is a limit
	edge int64   // frames to the nearest end of the silence due
}

// newSilences listens to the silent stretches, guard frames into each.
func newSilences(d *due, shift, guard int64, limit float64) *silences {
	s := &silences{limit: limit, noise: d.noise, hop: d.ms(10)}
	for _, v := range d.silent {
		v.from, v.to = v.from+shift, v.to+shift
		if v.from > shift {
			v.from += guard
		}
		if v.to < d.frames+shift {
			v.to -= guard
		}
		if v.from = max(v.from, 0); v.from < v.to {
			s.spans = append(s.spans, v)
		}
	}
	return s
}

func (s *silences) hear(w *window) {
	s.pieces(w, func(i int, at int64, x []float32) {
		s.frames += int64(len(x))
		if s.noise {
			s.listenForFloor(at, x)
		}
		if s.limit == 0 {
			for k, v := range x {
				if v != 0 {
					s.soil(i, span{at + int64(k), at + int64(k) + 1}, math.Abs(float64(v)))
				}
			}
			return
		}
		for len(x) > 0 {
			n := min(len(x), int(s.hop))
			var sum float64
			for _, v := range x[:n] {
				sum += float64(v) * float64(v)
			}
			// A rest of a few frames tells no level.
			if rms := math.Sqrt(sum / float64(n)); rms > s.limit && n > int(s.hop)/4 {
				s.soil(i, span{at, at + int64(n)}, rms)
			}
			x, at = x[n:], at+int64(n)
		}
	}, &s.done)
}

// soil notes a stretch, joined to the last one if that is near.
func (s *silences) soil(i int, at span, most float64) {
	due := s.spans[i]
	edge := min(at.from-due.from, due.to-at.to)
	if n := len(s.soiled); n > 0 && at.from-s.soiled[n-1].to <= 2*s.hop && s.soiled[n-1].to >= due.from {
		last := &s.soiled[n-1]
		last.to, last.most, last.edge = at.to, max(last.most, most), max(last.edge, edge)
		return
	}
	s.soiled = append(s.soiled, soil{at, most, edge})
}

// listenForFloor finds the longest digital silence.
func (s *silences) listenForFloor(at int64, x []float32) {
	for k, v := range x {
		if v != 0 {
			s.still = soil{}
			continue
		}
		if f := at + int64(k); s.still.to != f {
			s.still.span = span{f, f}
		}
		s.still.to++
		if s.still.to-s.still.from > s.hush.to-s.hush.from {
			s.hush = s.still
		}
	}
}

func decibels(x float64) float64 { return 20 * math.Log10(x) }

// silenceLimits are the level that a silent stretch may have, linear, and the
// frames beside sounds that are left out.
func (l *listening) silenceLimits() (limit float64, guard int64) {
	switch {
	case l.rec.Lossy:
		return math.Pow(10, lossySilence/20), l.due.ms(lossyGuard)
	case l.due.noise:
		return math.Pow(10, noiseSilence/20), l.due.ms(1)
	case l.copied():
		return math.Pow(10, copySilence/20), l.due.ms(1)
	}
	return 0, 0
}

const (
	// noiseSilence lies over dither to 16 bit, whose RMS is -96.3 dBFS.
	noiseSilence = -85.0
	copySilence  = -80.0
	// A sample as MP3 of 64 to 192 kbit/s, AAC of 96 and Opus of 64 stays under this
	// beyond the guard around sounds.
	lossySilence = -55.0
	lossyGuard   = 60 // ms
	// hushed is how long digital silence may last where a floor is due, in ms:
	// dither of 16 bit is zero in 3 frames of 4, hardly ever for so long.
	hushed = 5
)
