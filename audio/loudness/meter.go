package loudness

import (
	"math"
	"time"

	"cuewright/audio"
)

// hop is the step from one window of MaxWindow to the next. EBU Tech 3341 case
// 13 reads 0.45 LU low with the 100 ms that gating uses; 10 ms is exact.
const hop = 10 * time.Millisecond

// MaxWindow is the loudest window of s in LUFS, with no gate: with a window of
// 400 ms the maximum momentary loudness of EBU Tech 3341, with 3 s the maximum
// short-term loudness. Windows start every 10 ms. Silence stands around s, so a
// sound shorter than the window has a loudness too, lower by what is missing.
// s is one channel, counted once. The window is taken in whole steps of 10 ms,
// at least one.
func MaxWindow(s audio.Sound, window time.Duration) float64 {
	if len(s.Samples) == 0 {
		return math.Inf(-1)
	}
	hops := int(max(1, (window+hop/2)/hop))
	filter := NewKFilter(s.Rate)
	// Windows that begin before the sound need no look: they hold less than the
	// first that begins with it. Behind its end the filter still rings.
	silence := make([]float32, s.Rate.Frame(hop)+1)
	recent := make([]float64, hops) // energies of the last hops, a ring
	var sum, most float64
	end := len(s.Samples)
	for i, tail := 0, 0; tail < hops; i++ {
		from, to := s.Rate.Frame(time.Duration(i)*hop), s.Rate.Frame(time.Duration(i+1)*hop)
		inside := s.Samples[min(int(from), end):min(int(to), end)]
		energy := filter.Energy(inside) + filter.Energy(silence[:int(to-from)-len(inside)])
		if len(inside) == 0 {
			tail++
		}
		sum += energy - recent[i%hops]
		recent[i%hops] = energy
		most = max(most, sum)
	}
	return LUFS(most / (float64(hops) * hop.Seconds() * float64(s.Rate)))
}

// Meter measures the integrated loudness of a stream, with the two gates of
// BS.1770 Annex 1. It keeps one number for every 100 ms: 3.5 MB for 12 hours.
type Meter struct {
	rate    audio.Rate
	weights []float64
	filters []*KFilter // one a channel
	scratch []float32  // one channel of a block

	frames int64     // taken so far
	next   int64     // the frame at which the present step ends
	sum    float64   // energy of the present step so far
	steps  []float64 // energy of every whole step
}

const (
	gateStep  = 100 * time.Millisecond // a block of 400 ms overlaps the next by 75 %
	blockLen  = 4                      // steps in a block
	blockTime = blockLen * gateStep
	absolute  = -70.0 // LUFS
	relative  = -10.0 // LU under the mean of what passes the absolute gate
)

// NewMeter makes a meter for interleaved samples at a rate, with the weight of
// each channel as BS.1770 Table 3 gives them: 1 for left, right and centre, 1.41
// for the surrounds, 0 for low-frequency effects. Without weights it takes one
// channel of weight 1. One channel of weight 2 is a mono track as it is heard
// from two speakers.
func NewMeter(rate audio.Rate, weights ...float64) *Meter {
	if len(weights) == 0 {
		weights = []float64{1}
	}
	m := &Meter{rate: rate, weights: weights, next: rate.Frame(gateStep)}
	for range weights {
		m.filters = append(m.filters, NewKFilter(rate))
	}
	return m
}

// Add measures further samples, whole frames of as many channels as the meter
// has weights. Stretches added one after the other are measured as if they were
// one sound without a gap.
func (m *Meter) Add(samples []float32) {
	channels := len(m.weights)
	if len(samples)%channels != 0 {
		panic("loudness: samples are not whole frames")
	}
	for len(samples) > 0 {
		frames := min(m.next-m.frames, int64(len(samples)/channels))
		block := samples[:int(frames)*channels]
		samples = samples[len(block):]
		m.measure(block)
		if m.frames += frames; m.frames == m.next {
			m.steps = append(m.steps, m.sum)
			m.sum = 0
			m.next = m.rate.Frame(time.Duration(len(m.steps)+1) * gateStep)
		}
	}
}

func (m *Meter) measure(block []float32) {
	channels := len(m.weights)
	if channels == 1 {
		m.sum += m.weights[0] * m.filters[0].Energy(block)
		return
	}
	for c, weight := range m.weights {
		m.scratch = m.scratch[:0]
		for i := c; i < len(block); i += channels {
			m.scratch = append(m.scratch, block[i])
		}
		m.sum += weight * m.filters[c].Energy(m.scratch)
	}
}

// Integrated is the gated loudness in LUFS of everything added so far (BS.1770
// equations 3 to 7): the mean over blocks of 400 ms, every 100 ms, that are above
// -70 LUFS and above 10 LU under the mean of those. A last block that is not whole
// does not count. It is -Inf if no block passes, so for all sounds under 400 ms.
func (m *Meter) Integrated() float64 {
	frames := blockTime.Seconds() * float64(m.rate)
	floor := math.Pow(10, (absolute+0.691)/10) * frames
	mean := m.mean(floor)
	return LUFS(m.mean(max(floor, mean*math.Pow(10, relative/10))) / frames)
}

// mean is the mean energy of the blocks above floor, 0 if there is none.
func (m *Meter) mean(floor float64) float64 {
	var sum float64
	var count int
	for i := blockLen; i <= len(m.steps); i++ {
		var block float64
		for _, step := range m.steps[i-blockLen : i] {
			block += step
		}
		if block > floor {
			sum += block
			count++
		}
	}
	if count == 0 {
		return 0
	}
	return sum / float64(count)
}
