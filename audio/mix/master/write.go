package master

import (
	"runtime"
	"slices"

	"cuewright/audio/loudness"
	"cuewright/audio/mix"
	"cuewright/audio/mix/pcm"
)

// Write turns a stretch of the track into little-endian PCM and gives it to write
// block by block, in order; its bytes are those that stand in the whole. Blocks are
// made by as many workers as there are processors; the bytes do not depend on how
// many, because the dither is keyed by the frame it is for. A meter of one channel,
// if it is not nil, measures what is written, but for the dither; one Write with a
// meter runs at a time. An error of write ends the work and is returned, and so is one
// of the bed.
func (t *Master) Write(f pcm.Form, stretch mix.Span, meter *loudness.Meter, write func([]byte) error) error {
	w := newBlockMaker(t.limited, f, stretch)
	heard := loudnessPass{limiter: t.limited, meter: meter, stretch: stretch, at: stretch.From}
	silence := make([]byte, block*f.FrameBytes())
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
		if err := write(bytes[:(s.To-s.From)*int64(f.FrameBytes())]); err != nil {
			w.drain(i + 1)
			return err
		}
		if next := i + len(w.ring); next < w.blocks {
			w.start(next)
		}
	}
	heard.silence(stretch.To)
	return t.limited.mix.BedError()
}

// A blockMaker makes the blocks of a stretch, some ahead of the one that is written.
// Block i is made in buffer i modulo their number, and started only when the block that
// was there is written: a buffer belongs to one goroutine at a time, its maker up to done
// and then the writer. A maker gives its reader back before it is done, so that no block
// waits for a reader that only the writing of a later one would free, and once all that
// were started are done nothing of the mix is in use.
type blockMaker struct {
	limited *limiter
	form    pcm.Form
	stretch mix.Span
	blocks  int        // of the stretch; all but the last of full length
	spans   []mix.Span // where the mix sounds
	readers chan *reader
	ring    []buffer
}

// A buffer holds a block from its making to its writing.
type buffer struct {
	sound []float32 // what is worked out of the block
	bytes []byte
	done  chan bool
}

func newBlockMaker(l *limiter, f pcm.Form, stretch mix.Span) *blockMaker {
	workers := runtime.GOMAXPROCS(0)
	w := &blockMaker{limited: l, form: f, stretch: stretch, blocks: int((stretch.To - stretch.From + block - 1) / block),
		spans: l.mix.Spans(), readers: make(chan *reader, workers), ring: make([]buffer, workers+1)}
	for range workers {
		w.readers <- l.reader()
	}
	for i := range w.ring {
		w.ring[i] = buffer{make([]float32, block), make([]byte, block*f.FrameBytes()), make(chan bool, 1)}
	}
	return w
}

// part is where a block lies in the track.
func (w *blockMaker) part(i int) mix.Span {
	at := w.stretch.From + int64(i)*block
	return mix.Span{From: at, To: min(at+block, w.stretch.To)}
}

// silent reports whether all bytes of a block are zero; such a block is not made.
func (w *blockMaker) silent(s mix.Span) bool {
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
func (r *reader) quantise(f pcm.Form, out []byte, sound []float32, s mix.Span, spans []mix.Span) {
	width := int64(f.FrameBytes())
	if f.Noise {
		r.Read(sound[:s.To-s.From], s.From)
		f.Encode(out, sound[:s.To-s.From], s.From)
		return
	}
	clear(out)
	next, _ := slices.BinarySearchFunc(spans, s.From, func(x mix.Span, at int64) int {
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
			f.Encode(out[(a-s.From)*width:], x[a-from:b-from], a)
			if spans[next].To > to {
				break
			}
		}
	}
}
