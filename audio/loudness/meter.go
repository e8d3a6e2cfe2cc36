package loudness

import (
	"math"
	"slices"
	"time"

	"cuewright/audio"
)

// Meter measures the loudness of a stream that comes in blocks: integrated, the
// loudest momentary and short-term, and the loudness range. These are four of the
// five figures of a BWF `bext` chunk (EBU Tech 3285 v2, whose fields hold them in
// hundredths); the fifth is [PeakMeter.Peak].
//
// It keeps one number for every 100 ms, so that all figures are exact, not those
// of a histogram: 2.3 MB for 8 hours, 3.5 MB for 12.
type Meter struct {
	rate    audio.Rate
	weights []float64
	filters []*kFilter // one a channel
	scratch []float32  // one channel of a block
	zeros   []float32

	hop     time.Duration
	frames  int64 // taken so far
	hops    int64 // that are whole
	next    int64 // the frame at which the present hop ends
	sum     float64
	windows []window  // momentary, short-term
	step    float64   // energy of the whole hops of the present step
	steps   []float64 // energy of every whole step
}

const (
	step = 100 * time.Millisecond

	// The gates of BS.1770 Annex 1 (equations 5 to 7) and of EBU Tech 3342, 3.1.
	absoluteGate   = -70.0 // LUFS
	integratedGate = -10.0 // LU under the mean of what passes the absolute gate
	rangeGate      = -20.0 // LU, alike
)

// NewMeter makes a meter for interleaved samples at a rate, with the weight of
// each channel as BS.1770 Table 3 gives them: 1 for left, right and centre, 1.41
// for the surrounds, 0 for low-frequency effects. Without weights it takes one
// channel of weight 1. One channel of weight 2 is a mono track as it is heard
// from two speakers.
func NewMeter(rate audio.Rate, weights ...float64) *Meter {
	return newMeter(rate, hop, weights, newWindow(momentaryTime), newWindow(shortTime))
}

// NewIntegrator is NewMeter for integrated loudness and range only: the other
// figures stay -Inf. It goes by 100 ms instead of 10, which is faster with sounds
// that are [Prefiltered].
func NewIntegrator(rate audio.Rate, weights ...float64) *Meter {
	return newMeter(rate, step, weights)
}

func newMeter(rate audio.Rate, hop time.Duration, weights []float64, windows ...window) *Meter {
	if len(weights) == 0 {
		weights = []float64{1}
	}
	m := &Meter{rate: rate, weights: weights, hop: hop, windows: windows, next: rate.Frame(hop)}
	for range weights {
		m.filters = append(m.filters, newKFilter(rate))
	}
	return m
}

// Add measures further samples, whole frames of as many channels as the meter
// has weights; it panics for others. Stretches added one after the other are
// measured as if they were one sound without a gap. Digital silence costs little.
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
		m.advance(frames)
	}
}

// AddSilence does what Add does with that many frames of zeros, and costs next to
// nothing once the filters have died away.
func (m *Meter) AddSilence(frames int64) {
	for frames > 0 {
		n := min(m.next-m.frames, frames)
		if slices.ContainsFunc(m.filters, func(k *kFilter) bool { return !k.silent(0) }) {
			if m.zeros == nil {
				m.zeros = make([]float32, (m.rate.Frame(m.hop)+1)*int64(len(m.weights)))
			}
			m.measure(m.zeros[:n*int64(len(m.weights))])
		}
		m.advance(n)
		frames -= n
	}
}

func (m *Meter) measure(block []float32) {
	channels := len(m.weights)
	if channels == 1 {
		m.sum += m.weights[0] * m.filters[0].energy(block)
		return
	}
	for c, weight := range m.weights {
		m.scratch = m.scratch[:0]
		for i := c; i < len(block); i += channels {
			m.scratch = append(m.scratch, block[i])
		}
		m.sum += weight * m.filters[c].energy(m.scratch)
	}
}

// advance counts frames of the present hop, and closes it at its end.
func (m *Meter) advance(frames int64) {
	m.frames += frames
	if m.frames < m.next {
		return
	}
	for i := range m.windows {
		m.windows[i].add(m.sum)
	}
	m.step += m.sum
	m.sum = 0
	if m.hops++; m.hops%int64(step/m.hop) == 0 {
		m.steps = append(m.steps, m.step)
		m.step = 0
	}
	m.next = m.rate.Frame(time.Duration(m.hops+1) * m.hop)
}

// Integrated is the gated loudness in LUFS of everything added so far (BS.1770
// equations 3 to 7): the mean over blocks of 400 ms, every 100 ms, that are above
// -70 LUFS and above 10 LU under the mean of those. A last block that is not whole
// does not count. It is -Inf if no block passes, so for all sounds under 400 ms.
func (m *Meter) Integrated() float64 {
	return lufs(mean(m.gated(momentaryTime, integratedGate)))
}

// MaxMomentary is the loudest 400 ms so far in LUFS, with no gate and a hop of 10
// ms (EBU Tech 3341). It is -Inf for sounds under 400 ms; [MaxWindow] has a
// figure for those too.
func (m *Meter) MaxMomentary() float64 { return m.loudest(0) }

// MaxShortTerm is the loudest 3 s so far in LUFS, with no gate and a hop of 10 ms
// (EBU Tech 3341). It is -Inf for sounds under 3 s.
func (m *Meter) MaxShortTerm() float64 { return m.loudest(1) }

func (m *Meter) loudest(window int) float64 {
	if window >= len(m.windows) {
		return math.Inf(-1)
	}
	return m.windows[window].loudest(m.rate)
}

// Range is the loudness range in LU of everything added so far (EBU Tech 3342):
// of the short-term loudness every 100 ms, where it is above -70 LUFS and above 20
// LU under the mean of that, the distance from the 10th to the 95th percentile. It
// is 0 if nothing passes. It says little of less than a minute (EBU Tech 3341,
// 2.4), and of speech with long silences between (EBU Tech 3342, 3.1).
func (m *Meter) Range() float64 {
	passed := m.gated(shortTime, rangeGate)
	if len(passed) == 0 {
		return 0
	}
	slices.Sort(passed)
	// EBU Tech 3342, 5: the nearest of the sorted values, halves upwards.
	percentile := func(p float64) float64 {
		return lufs(passed[int(math.Floor(float64(len(passed)-1)*p/100+0.5))])
	}
	return percentile(95) - percentile(10)
}

// gated are the mean squares of all windows of a length, one every 100 ms, that
// are above the absolute gate and above a relative one, in LU to their mean.
func (m *Meter) gated(length time.Duration, relative float64) []float64 {
	n := int(length / step)
	frames := length.Seconds() * float64(m.rate)
	var passed []float64
	floor := math.Pow(10, (absoluteGate+0.691)/10)
	for i := n; i <= len(m.steps); i++ {
		var sum float64
		for _, energy := range m.steps[i-n : i] {
			sum += energy
		}
		if z := sum / frames; z > floor {
			passed = append(passed, z)
		}
	}
	floor = mean(passed) * math.Pow(10, relative/10)
	return slices.DeleteFunc(passed, func(z float64) bool { return z <= floor })
}

// mean is 0 of nothing.
func mean(x []float64) float64 {
	var sum float64
	for _, v := range x {
		sum += v
	}
	return sum / float64(max(1, len(x)))
}
