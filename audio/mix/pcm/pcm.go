// Package pcm makes bytes of samples: dithered, rounded and packed as they stand in a file. The dither hangs on
// the frame it is for, so that the bytes of a stretch are those it has in the whole.
package pcm

import (
	"encoding/binary"
	"math"
)

// A Form is how samples stand in a file.
type Form struct {
	Bits     int // 16 or 24
	Channels int // 1, or 2 with the same sample in both
	// Noise lays dither under digital silence too, for wireless speakers that fall
	// asleep on it and swallow the next first syllable.
	Noise bool
}

// FrameBytes is how many bytes one frame takes.
func (f Form) FrameBytes() int { return f.Bits / 8 * f.Channels }

// Encode makes the bytes of samples, full scale at ±1, the first of which is that of a frame.
func (f Form) Encode(out []byte, samples []float32, frame int64) {
	var part [512]int32
	for len(samples) > 0 {
		n := min(len(part), len(samples))
		f.round(part[:n], samples[:n], frame)
		f.pack(out, part[:n])
		out, samples, frame = out[n*f.FrameBytes():], samples[n:], frame+int64(n)
	}
}

// round makes integers of samples, with triangular dither of two steps' width
// (Lipshitz, Wannamaker and Vanderkooy 1992, JAES 40:355: it makes mean and
// variance of the error independent of the signal), and clips.
func (f Form) round(steps []int32, samples []float32, frame int64) {
	// Sums are in parts of a step, 65,536 to one: an int64 holds samples that are a
	// million times over full scale, and the limiter lets none over it.
	scale := float32(int64(1) << (f.Bits - 1 + 16))
	lowest, highest := int64(-1)<<(f.Bits-1), int64(1)<<(f.Bits-1)-1
	step := func(x float32, triangle uint64) int32 {
		// The triangle goes from 0 to 131,070; less half a step of its middle, and
		// rounding down is rounding to the nearest.
		n := (int64(x*scale) + int64(triangle) - (65535 - 32768)) >> 16
		if n < lowest || n > highest { // hardly ever: a branch costs less than the minimum
			n = min(max(n, lowest), highest)
		}
		return int32(n)
	}
	at, i := uint64(frame), 0
	if at%2 == 1 {
		steps[0] = step(samples[0], triangles(at/2)>>32)
		i = 1
	}
	for samples = samples[:len(steps)]; i < len(samples)-1 && i < len(steps)-1; i += 2 {
		pair := triangles((at + uint64(i)) / 2)
		steps[i], steps[i+1] = step(samples[i], pair&math.MaxUint32), step(samples[i+1], pair>>32)
	}
	if i < len(samples) {
		steps[i] = step(samples[i], triangles((at+uint64(i))/2)&math.MaxUint32)
	}
}

// triangles is the dither of frames 2n and 2n+1, in the lower and the upper half: each
// the sum of two numbers of 16 bits out of a hash (splitmix64, Steele, Lea and Flood
// 2014, OOPSLA, "Fast splittable pseudorandom number generators").
func triangles(n uint64) uint64 {
	z := (n + 1) * 0x9e3779b97f4a7c15
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	z ^= z >> 31
	const each = 0x0000ffff_0000ffff
	return z&each + z>>16&each
}

// pack makes little-endian bytes of what round makes.
func (f Form) pack(out []byte, steps []int32) {
	switch {
	case f.Bits == 16 && f.Channels == 1:
		for ; len(steps) >= 4 && len(out) >= 8; steps, out = steps[4:], out[8:] {
			binary.LittleEndian.PutUint64(out, uint64(uint16(steps[0]))|uint64(uint16(steps[1]))<<16|uint64(uint16(steps[2]))<<32|uint64(steps[3])<<48)
		}
		for i, n := range steps {
			binary.LittleEndian.PutUint16(out[2*i:], uint16(n))
		}
	case f.Bits == 16:
		for i, n := range steps {
			binary.LittleEndian.PutUint32(out[4*i:], uint32(uint16(n))*0x10001)
		}
	default:
		for _, n := range steps {
			for range f.Channels {
				out[0], out[1], out[2] = byte(n), byte(n>>8), byte(n>>16)
				out = out[3:]
			}
		}
	}
}
