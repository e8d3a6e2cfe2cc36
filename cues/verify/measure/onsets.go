package measure

import (
	"math"

	"cuewright/audio/listen"
	"cuewright/cues/verify/expect"
)

// onsets hears known sounds: tones, or clicks.
type onsets struct {
	d       *expect.Expected
	shift   int64
	sounds  []expect.Sound
	near    int // frames searched at first
	filters map[listen.Shape]*listen.MatchedFilter
	wide    map[listen.Shape]*listen.MatchedFilter
	fits    []listen.Fit
	power   []float64 // of what was heard in each window, in energy of the model's measure
	scratch []float32
}

const (
	// Frames searched at first: most sounds are where they should be; in a shifted
	// copy they are where the detector heard them, to half a millisecond.
	nearReach, shiftedReach = 8, 64

	wideReach = 10 // ms
	sure      = 0.97
)

func newOnsets(d *expect.Expected, sounds []expect.Sound, shift int64) *onsets {
	o := &onsets{d: d, shift: shift, sounds: sounds, near: nearReach, filters: map[listen.Shape]*listen.MatchedFilter{}, wide: map[listen.Shape]*listen.MatchedFilter{}}
	if shift != 0 {
		o.near = shiftedReach
	}
	for s := listen.ShortTone; s <= listen.RightClick; s++ {
		length := d.Length(s)
		pre, far := d.MS(expect.Before), d.MS(wideReach)
		o.filters[s] = listen.NewMatchedFilter(s, d.Rate, int(pre)-o.near, int(length), o.near)
		o.wide[s] = listen.NewMatchedFilter(s, d.Rate, int(pre), int(length), int(far))
	}
	return o
}

func (o *onsets) hear(w *window) {
	far := o.d.MS(wideReach)
	for len(o.fits) < len(o.sounds) {
		s := &o.sounds[len(o.fits)]
		need := o.d.Window(s)
		at := s.From + o.shift
		need = span(at-far-o.d.MS(expect.Before), need.To+o.shift)
		if !w.holds(need) {
			return
		}
		x := w.read(need, &o.scratch)
		i := int(at - need.From)
		f := o.filters[s.Shape].Find(x, i, o.near)
		if f.Explained < sure || math.Abs(f.Off) > float64(o.near-2) {
			if g := o.wide[s.Shape].Find(x, i, int(far)); g.Explained > f.Explained*o.leap(s) {
				f = g
			}
		}
		if s.Shape.IsTone() && f.Explained < sure {
			o.filters[s.Shape].Sidebands(&f, x[i:])
		}
		var power float64
		last := 0.0
		for _, v := range x[i-int(o.d.MS(expect.Before)):] {
			power += (float64(v) - 0.9*last) * (float64(v) - 0.9*last)
			last = float64(v)
		}
		o.fits, o.power = append(o.fits, f), append(o.power, power)
	}
}

// leap is how much better a place further off must explain what is heard. Under
// another sound a tone looks much the same a period to either side, so there the
// near place is believed.
func (o *onsets) leap(s *expect.Sound) float64 {
	if s.Alone {
		return 0.98
	}
	return 1.5
}

// onsets are what was heard of each sound.
func (o *onsets) onsets() []Onset {
	out := make([]Onset, len(o.fits))
	for i, f := range o.fits {
		out[i] = Onset{Fit: f, Power: o.power[i], Energy: o.filters[o.sounds[i].Shape].Energy(), Near: float64(o.near)}
	}
	return out
}
