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
// if it is not nil, measures what is written, but for the dither. An error of write
// ends the work and is returned, and so is one of the bed.
func (t *Master) Write(f Form, stretch Span, meter *loudness.Meter, write func([]byte) error) error {
	l := t.limited
	spans := l.mix.Spans()
	blocks := int((stretch.To - stretch.From + block - 1) / block)
	part := func(i int) Span {
		at := stretch.From + int64(i)*block
		return Span{at, min(at+block, stretch.To)}
	}
	silent := func(s Span) bool {
		i := l.after(s.From)
		return !f.Noise && (i == len(l.islands) || l.islands[i].From >= s.To)
	}
	workers := runtime.GOMAXPROCS(0)
	readers := make(chan *reader, workers)
	for range workers {
		readers <- l.reader()
	}
	// A ring of buffers: each is filled by a worker and written in its turn.
	type buffer struct {
		sound []float32 // what is worked out of the block
		bytes []byte
		done  chan bool
	}
	ring := make([]buffer, workers+1)
	for i := range ring {
		ring[i] = buffer{make([]float32, block), make([]byte, block*f.frameBytes()), make(chan bool, 1)}
	}
	start := func(i int) {
		b, s := &ring[i%len(ring)], part(i)
		if silent(s) {
			return
		}
		go func() {
			r := <-readers
			r.quantise(f, b.bytes, b.sound, s, spans)
			readers <- r
			b.done <- true
		}()
	}
	for i := range min(len(ring), blocks) {
		start(i)
	}
	silence := make([]byte, block*f.frameBytes())
	heard := hearing{limited: l, meter: meter, stretch: stretch, at: stretch.From}
	for i := range blocks {
		b, s := &ring[i%len(ring)], part(i)
		bytes := silence
		if !silent(s) {
			<-b.done
			bytes = b.bytes
			heard.add(b.sound, s)
		}
		if err := write(bytes[:(s.To-s.From)*int64(f.frameBytes())]); err != nil {
			for k := i + 1; k < min(blocks, i+len(ring)); k++ {
				if !silent(part(k)) {
					<-ring[k%len(ring)].done
				}
			}
			return err
		}
		if next := i + len(ring); next < blocks {
			start(next)
		}
	}
	heard.silence(stretch.To)
	if l.mix.bed != nil {
		return l.mix.bed.failed()
	}
	return nil
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
