package mix

import (
	"encoding/binary"
	"math"
	"runtime"
	"slices"
)

// A Form is how samples stand in a file.
type Form struct {
	Bits     int // 16 or 24
	Channels int // 1, or 2 with the same sample in both
	// Noise lays dither under digital silence too, for wireless speakers that fall
	// asleep on it and swallow the next first syllable.
	Noise bool
}

func (f Form) frameBytes() int { return f.Bits / 8 * f.Channels }

// Write turns the track into little-endian PCM and gives it to write block by
// block, in order. Blocks are made by as many workers as there are
// processors; the bytes do not depend on how many, because the dither is keyed
// by the frame it is for. An error of write ends the work and is returned.
func (t *Master) Write(f Form, write func([]byte) error) error {
	return t.WriteSpan(f, Span{0, t.limited.mix.Frames}, write)
}

// WriteSpan is Write for a stretch of the track, whose bytes are those that stand in
// the whole.
func (t *Master) WriteSpan(f Form, stretch Span, write func([]byte) error) error {
	m := t.limited.mix
	type job struct {
		at    int64
		bytes []byte
	}
	workers := runtime.GOMAXPROCS(0)
	spans := m.Spans()
	// A ring of buffers: each is filled by a worker and written in its turn.
	ring := make([]chan job, workers+1)
	free := make([][]byte, len(ring))
	readers := make(chan *reader, workers)
	for range workers {
		r := t.limited.reader()
		r.block = make([]float32, block)
		readers <- r
	}
	for i := range ring {
		ring[i] = make(chan job, 1)
		free[i] = make([]byte, block*f.frameBytes())
	}
	blocks := int((stretch.To - stretch.From + block - 1) / block)
	start := func(i int) {
		go func() {
			at := stretch.From + int64(i)*block
			n := min(int64(block), stretch.To-at)
			r := <-readers
			out := free[i%len(ring)][:n*int64(f.frameBytes())]
			if f.Noise || touches(spans, at, at+n) {
				r.Read(r.block[:n], at)
				f.quantise(out, r.block[:n], at, spans)
			} else {
				clear(out)
			}
			readers <- r
			ring[i%len(ring)] <- job{at, out}
		}()
	}
	for i := range min(len(ring), blocks) {
		start(i)
	}
	for i := range blocks {
		j := <-ring[i%len(ring)]
		if err := write(j.bytes); err != nil {
			for k := i + 1; k < min(blocks, i+len(ring)); k++ {
				<-ring[k%len(ring)]
			}
			return err
		}
		if next := i + len(ring); next < blocks {
			start(next)
		}
	}
	if m.bed != nil {
		return m.bed.failed()
	}
	return nil
}

// firstAfter is the index of the first span that ends after a frame.
func firstAfter(spans []Span, frame int64) int {
	i, _ := slices.BinarySearchFunc(spans, frame, func(s Span, t int64) int {
		if s.To <= t {
			return -1
		}
		return 1
	})
	return i
}

// touches reports whether any span has a frame from from up to to.
func touches(spans []Span, from, to int64) bool {
	i := firstAfter(spans, from)
	return i < len(spans) && spans[i].From < to
}

// quantise writes the samples at frame at into out, dithered where the mix sounds.
func (f Form) quantise(out []byte, samples []float32, at int64, spans []Span) {
	clear(out)
	if f.Noise {
		f.encode(out, samples, at)
		return
	}
	end := at + int64(len(samples))
	i := firstAfter(spans, at)
	width := int64(f.frameBytes())
	for ; i < len(spans) && spans[i].From < end; i++ {
		from, to := max(spans[i].From, at)-at, min(spans[i].To, end)-at
		f.encode(out[from*width:to*width], samples[from:to], at+from)
	}
}

// encode rounds samples to integers with triangular dither of two steps' width
// (Lipshitz, Wannamaker and Vanderkooy 1992, JAES 40:355: it makes mean and
// variance of the error independent of the signal) and clips.
func (f Form) encode(out []byte, samples []float32, at int64) {
	full := float32(int32(1) << (f.Bits - 1))
	least, most := -int32(full), int32(full)-1
	width, bytes := f.frameBytes(), f.Bits/8
	for i, x := range samples {
		v := float32(x * full)
		// Clipped before it becomes an integer, which would wrap.
		if v > full {
			v = full
		} else if v < -full {
			v = -full
		}
		v += tpdf(uint64(at) + uint64(i))
		// Rounded down from a number that is never negative: no branch to guess wrong.
		const up = 1 << 25
		n := int32(float64(float32(v+0.5))+up) - up
		n = min(max(n, least), most)
		if width == 2 {
			binary.LittleEndian.PutUint16(out, uint16(n))
			out = out[2:]
			continue
		}
		for range f.Channels {
			out[0], out[1] = byte(n), byte(n>>8)
			if bytes == 3 {
				out[2] = byte(n >> 16)
			}
			out = out[bytes:]
		}
	}
}

// tpdf is triangular noise between -1 and 1 step that depends on the frame
// only: the sum of two halves of a 64-bit hash (splitmix64, Steele, Lea and
// Flood 2014, OOPSLA, "Fast splittable pseudorandom number generators").
func tpdf(frame uint64) float32 {
	z := (frame + 1) * 0x9e3779b97f4a7c15
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	z ^= z >> 31
	const unit = 1.0 / (1 << 32)
	return float32(float32(int64(z&math.MaxUint32+z>>32))*unit) - 1
}
