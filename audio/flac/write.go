package flac

import (
	"crypto/md5"
	"errors"
	"fmt"
	"hash"
	"io"
	"math"
	"runtime"

	"cuewright/audio"
	"cuewright/audio/wav"
)

// Format is what a Writer is told before the first byte.
type Format struct {
	Rate     audio.Rate
	Channels int          // 1 or 2
	Bits     int          // 16 or 24
	Frames   int64        // exactly as many will be written
	Markers  []wav.Marker // written as chapters; labels in UTF-8
	Title    string       // if not empty
	Artist   string       // if not empty
}

func (f *Format) frameBytes() int { return f.Channels * f.Bits / 8 }

// File is what a Writer writes to; an empty *os.File is one.
type File interface {
	io.Writer
	io.WriterAt
}

// Writer writes one FLAC file. An error once met is returned by every later call.
type Writer struct {
	file    File
	form    Format
	sum     hash.Hash // of all samples as they are given
	length  int64     // bytes of all samples
	written int64     // bytes of samples so far
	pending []byte    // less than a block
	frames  int64     // begun so far

	free    chan *work
	running []*work // in order

	position int64 // of the next frame, from the first one on
	smallest int   // frame, in bytes
	largest  int
	seek     []byte // the points of the seek table
	seekAt   int64  // where they stand in the file
	err      error
}

// work is one block on its way to a frame.
type work struct {
	framer *framer
	pcm    []byte
	out    []byte
	done   chan struct{}
}

// NewWriter checks form and writes the metadata. It refuses what a FLAC file
// cannot hold: texts that are not UTF-8, more frames than 36 bits can count.
func NewWriter(f File, form Format) (*Writer, error) {
	if err := form.check(); err != nil {
		return nil, err
	}
	w := &Writer{file: f, form: form, sum: md5.New(), length: form.Frames * int64(form.frameBytes()), smallest: math.MaxInt}
	head, err := w.metadata()
	if err != nil {
		return nil, err
	}
	if _, err := f.Write(head); err != nil {
		return nil, fmt.Errorf("flac: writing the head: %w", err)
	}
	workers := 2 * runtime.GOMAXPROCS(0) // one half works while the other is filled and written
	w.free = make(chan *work, workers)
	for range workers {
		w.free <- &work{framer: newFramer(&w.form), done: make(chan struct{}, 1)}
	}
	return w, nil
}

func (f *Format) check() error {
	const mostRate, mostFrames = 1<<20 - 1, 1<<36 - 1
	switch {
	case f.Rate <= 0 || f.Rate > mostRate:
		return fmt.Errorf("flac: cannot write %d frames a second", f.Rate)
	case f.Channels != 1 && f.Channels != 2:
		return fmt.Errorf("flac: cannot write %d channels, only 1 or 2", f.Channels)
	case f.Bits != 16 && f.Bits != 24:
		return fmt.Errorf("flac: cannot write %d bits, only 16 or 24", f.Bits)
	case f.Frames < 0 || f.Frames > mostFrames:
		return fmt.Errorf("flac: cannot write %d frames", f.Frames)
	}
	return nil
}

// Write takes samples as they stand in a WAV file: little-endian, interleaved. A
// call may end inside a frame. More than the promised frames are refused.
func (w *Writer) Write(p []byte) (int, error) {
	if w.err != nil {
		return 0, w.err
	}
	if w.written+int64(len(p)) > w.length {
		w.err = fmt.Errorf("flac: more than the promised %d frames", w.form.Frames)
		return 0, w.err
	}
	w.sum.Write(p)
	w.written += int64(len(p))
	taken := len(p)
	size := block * w.form.frameBytes()
	for len(w.pending)+len(p) >= size {
		n := size - len(w.pending)
		w.begin(w.pending, p[:n])
		w.pending, p = w.pending[:0], p[n:]
		if w.err != nil {
			return 0, w.err
		}
	}
	w.pending = append(w.pending, p...)
	return taken, nil
}

// begin sets a worker to a block, which is a and b, and first writes what is done
// so long as none is free.
func (w *Writer) begin(a, b []byte) {
	for len(w.free) == 0 {
		w.take()
	}
	k := <-w.free
	k.pcm = append(append(k.pcm[:0], a...), b...)
	number := w.frames
	w.frames++
	w.running = append(w.running, k)
	go func() {
		k.out = k.framer.frame(k.out[:0], k.pcm, number)
		k.done <- struct{}{}
	}()
}

// take writes the first of the frames under way.
func (w *Writer) take() {
	k := w.running[0]
	w.running = w.running[1:]
	<-k.done
	if w.err == nil {
		w.note(len(k.out))
		if _, err := w.file.Write(k.out); err != nil {
			w.err = fmt.Errorf("flac: writing samples: %w", err)
		}
	}
	w.free <- k
}

// Close writes what is left, and completes the head. It is an error if not exactly
// the promised frames were written; the file is then of no use. Close does not
// close the file.
func (w *Writer) Close() error {
	if w.err == nil && w.written != w.length {
		w.err = fmt.Errorf("flac: %d of %d frames were written", w.written/int64(w.form.frameBytes()), w.form.Frames)
	}
	if w.err == nil && len(w.pending) > 0 {
		w.begin(w.pending, nil)
	}
	for len(w.running) > 0 {
		w.take()
	}
	if w.err != nil {
		return w.err
	}
	if err := w.complete(); err != nil {
		w.err = fmt.Errorf("flac: finishing the file: %w", err)
		return w.err
	}
	w.err = errors.New("flac: the file is finished")
	return nil
}
