package verify

import (
	"math"
	"slices"

	"cuewright/audio/listen"
)

// onsets hears known sounds: tones, or clicks.
type onsets struct {
	d       *due
	shift   int64
	sounds  []sound
	near    int // frames searched at first
	finders map[listen.Shape]*listen.Finder
	wide    map[listen.Shape]*listen.Finder
	fits    []listen.Fit
	power   []float64 // of what was heard in each window, in energy of the model's measure
	scratch []float32
}

const (
	// Frames searched at first: most sounds are where they should be; in a shifted
	// copy they are where the scout heard them, to half a millisecond.
	nearReach, shiftedReach = 8, 64

	wideReach = 10 // ms
	sure      = 0.97
)

func newOnsets(d *due, sounds []sound, shift int64) *onsets {
	o := &onsets{d: d, shift: shift, sounds: sounds, near: nearReach, finders: map[listen.Shape]*listen.Finder{}, wide: map[listen.Shape]*listen.Finder{}}
	if shift != 0 {
		o.near = shiftedReach
	}
	for s := listen.ShortTone; s <= listen.RightClick; s++ {
		length := d.ms(toneWindow)
		if !s.IsTone() {
			length = d.ms(stepWindow)
		}
		pre, far := d.ms(before), d.ms(wideReach)
		o.finders[s] = listen.NewFinder(s, d.rate, int(pre)-o.near, int(length), o.near)
		o.wide[s] = listen.NewFinder(s, d.rate, int(pre), int(length), int(far))
	}
	return o
}

func (o *onsets) hear(w *window) {
	far := o.d.ms(wideReach)
	for len(o.fits) < len(o.sounds) {
		s := &o.sounds[len(o.fits)]
		need := o.d.window(s)
		at := s.from + o.shift
		need = span{at - far - o.d.ms(before), need.to + o.shift}
		if !w.holds(need) {
			return
		}
		x := w.read(need, &o.scratch)
		i := int(at - need.from)
		f := o.finders[s.shape].Find(x, i, o.near)
		if f.Explained < sure || math.Abs(f.Off) > float64(o.near-2) {
			if g := o.wide[s.shape].Find(x, i, int(far)); g.Explained > f.Explained*o.leap(s) {
				f = g
			}
		}
		if s.shape.IsTone() && f.Explained < sure {
			o.finders[s.shape].Beside(&f, x[i:])
		}
		var power float64
		last := 0.0
		for _, v := range x[i-int(o.d.ms(before)):] {
			power += (float64(v) - 0.9*last) * (float64(v) - 0.9*last)
			last = float64(v)
		}
		o.fits, o.power = append(o.fits, f), append(o.power, power)
	}
}

// leap is how much better a place further off must explain what is heard. Under
// another sound a tone looks much the same a period to either side, so there the
// near place is believed.
func (o *onsets) leap(s *sound) float64 {
	if s.alone {
		return 0.98
	}
	return 1.5
}

// A verdict is what can be said of one due sound.
type verdict int

const (
	hidden  verdict = iota // another sound makes it unmeasurable
	placed                 // it stands out, its place can be measured
	covered                // under another sound, to two or three frames
	absent
	unlike // something sounds there alone that it is not
)

// usual is the gain of those sounds that stand out clearly, 0 where none does.
func (o *onsets) usual() float64 {
	var clear, rest []float64
	for _, f := range o.fits {
		switch {
		case f.Explained > 0.9:
			clear = append(clear, f.Gain)
		case f.Gain > 10*f.GainDoubt:
			rest = append(rest, f.Gain)
		}
	}
	if len(clear) == 0 {
		clear = rest
	}
	if len(clear) == 0 {
		return 0
	}
	slices.Sort(clear)
	return clear[len(clear)/2]
}

// judge looks at sound i. limit is how many frames it may be off; a lossy form
// adds noise of its own.
func (o *onsets) judge(i int, usual, limit float64, lossy bool) verdict {
	const (
		softest = 0.5 // of the usual gain: a click is 4 dB softer under speech
		doubts  = 6   // standard errors that are still taken for chance
	)
	known := 0.5 // share of the energy that must be the sound's own beside another
	clear := 0.9 // and alone
	if lossy {
		clear = 0.7
	}
	s, f := &o.sounds[i], o.fits[i]
	finder := o.finders[s.shape]
	own := usual * usual * finder.Energy() // about what a usual one holds
	tone := s.shape.IsTone()
	if !tone {
		known = 0.95 // a tone near its pitch moves a click by a frame sooner than it tells
	}
	switch {
	case o.d.drowned():
		return hidden
	case o.power[i] <= own/10:
		return absent
	case s.alone && f.Explained > clear:
		return placed
	case s.alone:
		return unlike
	case !tone && math.Abs(f.Off) > float64(o.near):
		return hidden // rather a period of the other sound
	case f.Explained > known && f.Gain > softest*usual && doubts*f.Doubt < limit:
		return placed
	case tone && f.Gain+doubts/2*f.Beneath < softest*usual && doubts*f.GainDoubt < softest*usual:
		return absent
	case tone && f.Gain > softest*usual && doubts*2/3*f.Doubt < max(coveredPlace, limit):
		return covered
	}
	return hidden
}
