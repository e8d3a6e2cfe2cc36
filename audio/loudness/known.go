package loudness

import (
	"time"

	"cuewright/audio"
)

// Known is a sound of one channel that was weighted once, to be added to a [Meter]
// many times at little cost.
type Known struct {
	samples []float32
	filter  *kFilter
	marks   []mark
}

// A mark is how far weighting had come after a multiple of markEvery samples.
type mark struct {
	memory
	energy float64 // of all samples so far
}

const (
	markEvery = 64
	// forgotten is after how long the filter knows nothing more of what went
	// before: the ring is then 230 dB down.
	forgotten = 150 * time.Millisecond
)

// Know weights samples, which must not change as long as the result is used, unless it
// is renewed.
func Know(rate audio.Rate, samples []float32) *Known {
	k := &Known{samples: samples, filter: newKFilter(rate), marks: make([]mark, 1+len(samples)/markEvery)}
	k.Renew()
	return k
}

// Renew weights the samples again after they have changed.
func (k *Known) Renew() {
	k.filter.memory = memory{}
	var energy float64
	for i := range k.marks {
		k.marks[i] = mark{k.filter.memory, energy}
		if end := (i + 1) * markEvery; end <= len(k.samples) {
			energy += k.filter.energy(k.samples[i*markEvery : end])
		}
	}
}

// until is the energy of the first n samples, and what the filter then remembers.
func (k *Known) until(n int) (float64, memory) {
	m := k.marks[n/markEvery]
	k.filter.memory = m.memory
	return m.energy + k.filter.energy(k.samples[n/markEvery*markEvery:n]), k.filter.memory
}

// AddKnown does what Add does with the samples of k from one to another; the meter
// must have one channel, and k's rate. The figures differ by less than 1e-9 LU.
func (m *Meter) AddKnown(k *Known, from, to int) {
	at := from
	if from > 0 || !m.filters[0].silent(0) { // something else went before, and still rings
		at = min(to, from+int(m.rate.Frame(forgotten)))
		m.Add(k.samples[from:at])
	}
	before, _ := k.until(at)
	for at < to {
		n := min(m.next-m.frames, int64(to-at))
		at += int(n)
		var energy float64
		energy, m.filters[0].memory = k.until(at)
		m.sum += m.weights[0] * (energy - before)
		before = energy
		m.advance(n)
	}
}
