package mix

import (
	"sync"
	"time"

	"cuewright/audio"
)

// The bed comes in and goes out so softly at the ends of a track. Common practice.
const (
	bedIn  = 3 * time.Second
	bedOut = 6 * time.Second
)

// Music is what a bed is made of: it fills dst with mono samples from a frame on.
type Music interface {
	Read(dst []float32, at int64) error
}

// A bed is music under all events of a mix, for as long as it lasts, faded at both
// ends and ducked.
type bed struct {
	music   Music
	gain    float64
	duck    *Duck
	in, out int64 // frames

	mu  sync.Mutex
	err error // the first of music's
}

// Lay puts music under the mix, at a linear gain where nothing ducks it. What the music
// cannot read is silent, and its error is kept for BedError.
func (m *Mix) Lay(rate audio.Rate, music Music, gain float64, duck *Duck) {
	m.bed = &bed{music: music, gain: gain, duck: duck, in: rate.Frame(bedIn), out: rate.Frame(bedOut)}
}

// step is how many frames a straight line of the bed's gain is long. A line misses
// the steepest of its curves by less than 0.001 dB.
const step = 64

// read fills dst with the bed from a frame on.
func (b *bed) read(dst []float32, at, frames int64) {
	if err := b.music.Read(dst, at); err != nil {
		clear(dst)
		b.mu.Lock()
		defer b.mu.Unlock()
		if b.err == nil {
			b.err = err
		}
		return
	}
	for i := 0; i < len(dst); {
		frame := at + int64(i)
		start := frame / step * step
		from, to := b.level(start, frames), b.level(start+step, frames)
		slope := (to - from) / step
		for end := min(len(dst), i+int(start+step-frame)); i < end; i++ {
			g := from + float64(slope*float64(at+int64(i)-start))
			dst[i] = float32(dst[i] * float32(g))
		}
	}
}

// level is the gain at a frame.
func (b *bed) level(frame, frames int64) float64 {
	fade := smooth(float64(frame)/float64(b.in)) * smooth(float64(frames-frame)/float64(b.out))
	return b.gain * fade * b.duck.Gain(frame)
}

// HasBed reports whether music lies under the mix, so that nothing of it sounds twice the same.
func (m *Mix) HasBed() bool { return m.bed != nil }

// BedError is the first error of the music, if it had one.
func (m *Mix) BedError() error {
	if m.bed == nil {
		return nil
	}
	m.bed.mu.Lock()
	defer m.bed.mu.Unlock()
	return m.bed.err
}
