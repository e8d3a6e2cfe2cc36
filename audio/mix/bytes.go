package mix

import (
	"encoding/binary"
	"math"
	"runtime"
	"slices"

	"cuewright/audio/loudness"
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

// Write turns a stretch of the track into little-endian PCM and gives it to write
// block by block, in order; its bytes are those that stand in the whole. Blocks are
// made by as many workers as there are processors; the bytes do not depend on how
// many, because the dither is keyed by the frame it is for. A meter of one channel,
// if it is not nil, measures what is written, but for the dither; one Write with a
// meter runs at a time. An error of write ends the work and is returned, and so is one
// of the bed.
func (t *Master) Write(f Form, stretch Span, meter *loudness.Meter, write func([]byte) error) error {
	w := newBlockMaker(t.limited, f, stretch)
	heard := hearing{limited: t.limited, meter: meter, stretch: stretch, at: stretch.From}
	silence := make([]byte, block*f.frameBytes())
	for i := range min(len(w.ring), w.blocks) {
		w.start(i)
	}
	for i := range w.blocks {
		s, bytes := w.part(i), silence
		if !w.silent(s) {
			b := w.wait(i)
			bytes = b.bytes
			heard.add(b.sound, s)
		}
		if err := write(bytes[:(s.To-s.From)*int64(f.frameBytes())]); err != nil {
			w.drain(i + 1)
			return err
		}
		if next := i + len(w.ring); next < w.blocks {
			w.start(next)
		}
	}
	heard.silence(stretch.To)
	if bed := t.limited.mix.bed; bed != nil {
		return bed.failed()
	}
	return nil
}

// A blockMaker makes the blocks of a stretch, some ahead of the one that is written.
// Block i is made in buffer i modulo their number, and started only when the block that
// was there is written: a buffer belongs to one goroutine at a time, its maker up to done
// and then the writer. A maker gives its reader back before it is done, so that no block
// waits for a reader that only the writing of a later one would free, and once all that
// were started are done nothing of the mix is in use.
type blockMaker struct {
	limited *limited
	form    Form
	stretch Span
	blocks  int    // of the stretch; all but the last of full length
	spans   []Span // where the mix sounds
	readers chan *reader
	ring    []buffer
}

// A buffer holds a block from its making to its writing.
type buffer struct {
	sound []float32 // what is worked out of the block
	bytes []byte
	done  chan bool
}

func newBlockMaker(l *limited, f Form, stretch Span) *blockMaker {
	workers := runtime.GOMAXPROCS(0)
	w := &blockMaker{limited: l, form: f, stretch: stretch, blocks: int((stretch.To - stretch.From + block - 1) / block),
		spans: l.mix.Spans(), readers: make(chan *reader, workers), ring: make([]buffer, workers+1)}
	for range workers {
		w.readers <- l.reader()
	}
	for i := range w.ring {
		w.ring[i] = buffer{make([]float32, block), make([]byte, block*f.frameBytes()), make(chan bool, 1)}
	}
	return w
}

// part is where a block lies in the track.
func (w *blockMaker) part(i int) Span {
	at := w.stretch.From + int64(i)*block
	return Span{at, min(at+block, w.stretch.To)}
}

// silent reports whether all bytes of a block are zero; such a block is not made.
func (w *blockMaker) silent(s Span) bool {
	l := w.limited
	i := l.after(s.From)
	return !w.form.Noise && (i == len(l.islands) || l.islands[i].From >= s.To)
}

// start has a block made, unless it is silent.
func (w *blockMaker) start(i int) {
	b, s := &w.ring[i%len(w.ring)], w.part(i)
	if w.silent(s) {
		return
	}
	go func() {
		r := <-w.readers
		r.quantise(w.form, b.bytes, b.sound, s, w.spans)
		w.readers <- r
		b.done <- true
	}()
}

// wait returns a block that was started and is not silent, when it is made.
func (w *blockMaker) wait(i int) *buffer {
	b := &w.ring[i%len(w.ring)]
	<-b.done
	return b
}

// drain waits for all blocks from one on that were started, before the writer leaves.
func (w *blockMaker) drain(from int) {
	for i := from; i < min(w.blocks, from+len(w.ring)-1); i++ {
		if !w.silent(w.part(i)) {
			w.wait(i)
		}
	}
}

// quantise makes the bytes of a block, dithered where the mix sounds. What is not
// kept of the block is worked out in sound.
func (r *reader) quantise(f Form, out []byte, sound []float32, s Span, spans []Span) {
	width := int64(f.frameBytes())
	if f.Noise {
		r.Read(sound[:s.To-s.From], s.From)
		f.encode(out, sound[:s.To-s.From], s.From)
		return
	}
	clear(out)
	next, _ := slices.BinarySearchFunc(spans, s.From, func(x Span, at int64) int {
		if x.To <= at {
			return -1
		}
		return 1
	})
	for i := r.after(s.From); i < len(r.islands) && r.islands[i].From < s.To; i++ {
		from, to := max(r.islands[i].From, s.From), min(r.islands[i].To, s.To)
		x := r.part(i, sound[from-s.From:to-s.From], from)
		for ; next < len(spans) && spans[next].From < to; next++ {
			a, b := max(spans[next].From, from), min(spans[next].To, to)
			f.encode(out[(a-s.From)*width:], x[a-from:b-from], a)
			if spans[next].To > to {
				break
			}
		}
	}
}

// encode makes the bytes of samples, the first of which is that of a frame.
func (f Form) encode(out []byte, samples []float32, frame int64) {
	var part [512]int32
	for len(samples) > 0 {
		n := min(len(part), len(samples))
		f.round(part[:n], samples[:n], frame)
		f.pack(out, part[:n])
		out, samples, frame = out[n*f.frameBytes():], samples[n:], frame+int64(n)
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
