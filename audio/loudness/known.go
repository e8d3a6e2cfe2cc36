package loudness

import "cuewright/audio"

// Prefiltered is a sound of one channel that was weighted once, to be added to a [Meter]
// many times at little cost.
type Prefiltered struct {
	samples []float32
	filter  *kFilter
	marks   []mark
}

// A mark is how far weighting had come after a multiple of markEvery samples.
type mark struct {
	memory
	energy float64 // of all samples so far
}

// markEvery is how many samples lie between two marks: a meter weights about half as
// many anew at each of its hops.
const markEvery = 64

// Prefilter weights samples, which must not change as long as the result is used, unless it
// is renewed.
func Prefilter(rate audio.Rate, samples []float32) *Prefiltered {
	k := &Prefiltered{samples: samples, filter: newKFilter(rate), marks: make([]mark, 1+len(samples)/markEvery)}
	k.Refilter()
	return k
}

// Refilter weights the samples again after they have changed.
func (k *Prefiltered) Refilter() {
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
func (k *Prefiltered) until(n int) (float64, memory) {
	m := k.marks[n/markEvery]
	rest := k.samples[n/markEvery*markEvery : n]
	if len(rest) == 0 {
		return m.energy, m.memory
	}
	f := kFilter{k.filter.shelf, k.filter.pass, m.memory}
	return m.energy + f.energy(rest), f.memory
}

// Energy is the sum of the squares of the weighted samples from one to another.
func (k *Prefiltered) Energy(from, to int) float64 {
	before, _ := k.until(from)
	all, _ := k.until(to)
	return all - before
}

// AddPrefiltered adds the samples of k from one to another, weighted as they are in k: behind
// those before them, while what the meter heard before is cut off. So it does what Add
// does where 150 ms of silence or more went before the first sample of k, and the
// figures then differ by less than 1e-9 LU. The meter must have one channel, and k's rate.
func (m *Meter) AddPrefiltered(k *Prefiltered, from, to int) {
	before, _ := k.until(from)
	for at := from; at < to; {
		n := min(m.next-m.frames, int64(to-at))
		at += int(n)
		var energy float64
		energy, m.filters[0].memory = k.until(at)
		m.sum += m.weights[0] * (energy - before)
		before = energy
		m.advance(n)
	}
}
