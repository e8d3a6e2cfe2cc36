package mix

import (
	"encoding/binary"
	"math"
)

// An Island is a stretch that sounds, so far from the others that what works on it
// may take it to stand alone. A class says and beeps much of what it does many times.
type Island struct {
	Span
	// SameAs is the index of the first island that sounds the same: its own for a new one.
	SameAs int
}

// Islands are the stretches that sound, with at least gap frames of silence between.
func (m *Mix) Islands(gap int64) []Island {
	var out []Island
	known := map[string]int{}      // islands by the sounds in them
	sounds := map[*float32]int64{} // numbers of sounds by where they begin
	var key []byte
	e := 0
	for i, s := range Joined(m.Spans(), gap) {
		key = binary.AppendVarint(key[:0], s.To-s.From)
		for ; e < len(m.events) && m.events[e].At < s.To; e++ {
			x := m.events[e]
			if len(x.Samples) == 0 {
				continue
			}
			number, ok := sounds[&x.Samples[0]]
			if !ok {
				number = int64(len(sounds))
				sounds[&x.Samples[0]] = number
			}
			for _, n := range []int64{number, int64(len(x.Samples)), x.At - s.From, int64(math.Float32bits(x.Gain))} {
				key = binary.AppendVarint(key, n)
			}
		}
		like, ok := known[string(key)]
		if !ok {
			like = i
			known[string(key)] = i
		}
		out = append(out, Island{Span: s, SameAs: like})
	}
	return out
}
