package listen

import (
	"math"

	"cuewright/audio"
)

// A Tone is a stretch in which hardly anything but one steady 1 kHz is heard, in
// frames: To is the first after it.
type Tone struct{ From, To int64 }

// A ToneDetector listens for tones wherever they are, a millisecond at a time. In each
// the sound is multiplied with a cosine and a sine of 1 kHz: their sums tell
// amplitude and phase, and a tone keeps its phase.
type ToneDetector struct {
	rate     audio.Rate
	cos, sin []float64 // whole periods
	at       int64     // frames heard
	hop      int64     // index of the present one
	end      int64     // frame at which it ends
	i, q, p  float64   // sums of the present hop
	tones    []Tone
	run      run
}

// A run is a tone that still sounds.
type run struct {
	from, last int64 // hops
	phase      float64
	first      []float64 // amplitudes of the first hops
}

const (
	pure      = 0.7   // share of the power that is 1 kHz
	faint     = 0.003 // amplitude, -50 dBFS
	turned    = 0.4   // radians between hops of one tone
	shortest  = 50    // ms
	interrupt = 30    // ms for which another sound may hide a tone
	swellHops = 8     // after which a tone is steady
)

// NewToneDetector makes a detector for one channel at a rate.
func NewToneDetector(rate audio.Rate) *ToneDetector {
	s := &ToneDetector{rate: rate}
	period := int(rate)
	for a, b := int(rate), int(pitch); ; a, b = b, a%b {
		if b == 0 {
			period /= a
			break
		}
	}
	for i := range period {
		angle := 2 * math.Pi * pitch * float64(i) / float64(rate)
		s.cos, s.sin = append(s.cos, math.Cos(angle)), append(s.sin, math.Sin(angle))
	}
	s.end = s.hopStart(1)
	return s
}

func (s *ToneDetector) hopStart(hop int64) int64 { return hop * int64(s.rate) / 1000 }

// Hear takes a further block, of any length.
func (s *ToneDetector) Hear(block []float32) {
	for len(block) > 0 {
		// As far as the hop and the tables go.
		k := int(s.at % int64(len(s.cos)))
		n := min(len(block), int(s.end-s.at), len(s.cos)-k)
		cos, sin := s.cos[k:k+n], s.sin[k:k+n]
		i, q, p := s.i, s.q, s.p
		for j, v := range block[:n] {
			if x := float64(v); x != 0 { // most of a class is silence
				i += x * cos[j]
				q += x * sin[j]
				p += x * x
			}
		}
		s.i, s.q, s.p = i, q, p
		block = block[n:]
		if s.at += int64(n); s.at == s.end {
			s.step()
		}
	}
}

// step judges a hop that is over.
func (s *ToneDetector) step() {
	n := float64(s.end - s.hopStart(s.hop))
	amplitude := 2 * math.Hypot(s.i, s.q) / n
	tonal := amplitude > faint && amplitude*amplitude/2 > pure*s.p/n
	phase := math.Atan2(s.q, s.i)
	switch {
	case tonal && s.run.first != nil && math.Abs(math.Remainder(phase-s.run.phase, 2*math.Pi)) < turned:
		s.run.last, s.run.phase = s.hop, phase
		if len(s.run.first) < swellHops {
			s.run.first = append(s.run.first, amplitude)
		}
	case tonal && (s.run.first == nil || s.run.last-s.run.from < shortest/2):
		s.run = run{from: s.hop, last: s.hop, phase: phase, first: []float64{amplitude}}
	case s.run.first != nil && s.hop-s.run.last > interrupt:
		s.finish()
	}
	s.i, s.q, s.p = 0, 0, 0
	s.hop++
	s.end = s.hopStart(s.hop + 1)
}

// finish keeps the run if it was long enough.
func (s *ToneDetector) finish() {
	r := s.run
	s.run = run{}
	if r.last-r.from < shortest || len(r.first) < swellHops {
		return
	}
	// What the first hops lack of the steady tone tells where in them it began.
	steady := r.first[swellHops-1]
	missing := -swellTime / 2
	for _, a := range r.first {
		missing += max(0, 1-a/steady)
	}
	from := s.hopStart(r.from) + int64(math.Round(missing*float64(s.rate)/1000))
	s.tones = append(s.tones, Tone{from, s.hopStart(r.last + 1)})
}

// Tones are those heard, in order, once the recording is over.
func (s *ToneDetector) Tones() []Tone {
	if s.run.first != nil {
		s.finish()
	}
	return s.tones
}
