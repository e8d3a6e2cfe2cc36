package verify

import (
	"cmp"
	"math"
	"slices"

	"cuewright/audio"
)

// A heard tone is a stretch in which hardly anything but one steady 1 kHz is heard.
type heardTone struct{ span }

// A scout listens for tones wherever they are, a millisecond at a time. In each
// the sound is multiplied with a cosine and a sine of 1 kHz: their sums tell
// amplitude and phase, and a tone keeps its phase.
type scout struct {
	rate     audio.Rate
	cos, sin []float64 // whole periods
	at       int64     // frames heard
	hop      int64     // index of the present one
	end      int64     // frame at which it ends
	i, q, p  float64   // sums of the present hop
	tones    []heardTone
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

func newScout(rate audio.Rate) *scout {
	s := &scout{rate: rate}
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

func (s *scout) hopStart(hop int64) int64 { return hop * int64(s.rate) / 1000 }

// hear takes a further block.
func (s *scout) hear(block []float32) {
	k := int(s.at % int64(len(s.cos)))
	for _, v := range block {
		x := float64(v)
		s.i += x * s.cos[k]
		s.q += x * s.sin[k]
		s.p += x * x
		if k++; k == len(s.cos) {
			k = 0
		}
		if s.at++; s.at == s.end {
			s.step()
		}
	}
}

// step judges a hop that is over.
func (s *scout) step() {
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
func (s *scout) finish() {
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
	s.tones = append(s.tones, heardTone{span{from, s.hopStart(r.last + 1)}})
}

// A lay is how a track lies against its plan.
type lay struct {
	shift   int64 // frames by which what is heard comes late
	heard   []heardTone
	matched int // of the tones heard, how many are due where they are, the shift allowed for
}

// align finds the shift that brings most of the tones heard onto tones due, by
// their starts or their ends.
func (s *scout) align(d *due) lay {
	if s.run.first != nil {
		s.finish()
	}
	const furthest = 30 // seconds
	reach := furthest * int64(s.rate)
	bin := max(1, d.ms(2))
	votes := map[int64][]int64{}
	vote := func(by int64) {
		b := int64(math.Floor(float64(by) / float64(bin)))
		votes[b] = append(votes[b], by)
	}
	each := func(do func(h heardTone, t *sound)) {
		for _, h := range s.tones {
			k, _ := slices.BinarySearchFunc(d.tones, h.from-reach, func(t sound, at int64) int { return cmp.Compare(t.from, at) })
			for ; k < len(d.tones) && d.tones[k].from < h.from+reach; k++ {
				do(h, &d.tones[k])
			}
		}
	}
	each(func(h heardTone, t *sound) {
		vote(h.from - t.from)
		vote(h.to - t.to)
	})
	best, most := int64(0), -1
	for b := range votes {
		n := len(votes[b]) + len(votes[b+1])
		// Among equals the nearest counts, so that a map's order does not.
		if n > most || n == most && (max(b, -b) < max(best, -best) || max(b, -b) == max(best, -best) && b > best) {
			best, most = b, n
		}
	}
	out := lay{heard: s.tones}
	if most < 2 {
		return out
	}
	near := slices.Concat(votes[best], votes[best+1])
	slices.Sort(near)
	out.shift = near[len(near)/2]
	if max(out.shift, -out.shift) <= d.ms(2) {
		out.shift = 0 // near enough to be measured
	}
	for _, h := range s.tones {
		if slices.ContainsFunc(d.tones, func(t sound) bool {
			a, b := h.from-t.from-out.shift, h.to-t.to-out.shift
			return max(a, -a) <= d.ms(5) || max(b, -b) <= d.ms(5)
		}) {
			out.matched++
		}
	}
	return out
}
