package loudness

import (
	"time"

	"cuewright/audio"
)

// hop is the step from one window to the next. EBU Tech 3341 case 13 reads 0.45
// LU low with the 100 ms that gating uses; 10 ms is exact.
const hop = 10 * time.Millisecond

// The windows of EBU Tech 3341, 2.2.
const (
	momentaryTime = 400 * time.Millisecond
	shortTime     = 3 * time.Second
)

// window is a stretch of whole hops that moves along a sound, hop by hop.
type window struct {
	recent []float64 // energies of the last hops, a ring
	next   int       // the place of the next one
	full   bool
	sum    float64 // of recent
	most   float64 // the largest sum so far of a full window
}

func newWindow(length time.Duration) window {
	return window{recent: make([]float64, max(1, (length+hop/2)/hop))}
}

func (w *window) add(energy float64) {
	w.sum += energy - w.recent[w.next]
	w.recent[w.next] = energy
	if w.next++; w.next == len(w.recent) {
		w.next, w.full = 0, true
		w.sum = 0 // added up afresh, so that rounding does not grow with the sound
		for _, e := range w.recent {
			w.sum += e
		}
	}
	if w.full {
		w.most = max(w.most, w.sum)
	}
}

// loudest is the loudness of the loudest full window in LUFS, -Inf without one.
func (w *window) loudest(rate audio.Rate) float64 {
	return lufs(w.most / (float64(len(w.recent)) * hop.Seconds() * float64(rate)))
}

// MaxWindow is the loudest window of s in LUFS, with no gate. Windows start every
// 10 ms. Silence stands around s, so a sound shorter than the window has a
// loudness too, lower by what is missing. s is one channel, counted once. The
// window is taken in whole steps of 10 ms, at least one.
func MaxWindow(s audio.Sound, length time.Duration) float64 { return MaxWindows(s, length)[0] }

// MaxWindows is MaxWindow for several lengths at once.
func MaxWindows(s audio.Sound, lengths ...time.Duration) []float64 {
	var windows []window
	longest := 0
	for _, length := range lengths {
		w := newWindow(length)
		windows = append(windows, w)
		longest = max(longest, len(w.recent))
	}
	m := newMeter(s.Rate, hop, nil, windows...)
	m.Add(s.Samples)
	// Windows that begin before the sound need no look: they hold less than the
	// first that begins with it. Behind its end the filter still rings.
	for range 1 + longest {
		m.AddSilence(m.next - m.frames)
	}
	var out []float64
	for i := range m.windows {
		out = append(out, m.windows[i].loudest(s.Rate))
	}
	return out
}
