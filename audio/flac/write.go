package flac

import (
	"bufio"
	"bytes"
	"cmp"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"slices"

	"github.com/mewkiz/flac"
	"github.com/mewkiz/flac/frame"
	"github.com/mewkiz/flac/meta"

	"cuewright/audio"
)

// block is how many samples of each channel a frame holds. The encoder has one Rice
// parameter for all of a frame, so that shorter frames are smaller in all: of speech
// with clicks 1152 take 12 % less than 4096 (measured for this project).
const block = 1152

// File is what a Writer writes to; an empty *os.File is one.
type File interface {
	io.WriteSeeker
	io.WriterAt
}

// Writer writes one FLAC file. An error once met is returned by every later call.
type Writer struct {
	file    *counted
	form    audio.FileInfo
	encoder *flac.Encoder
	length  int64  // bytes of all samples
	written int64  // bytes of samples so far
	pending []byte // less than a block
	frame   *frame.Frame
	samples [2][]int32

	first int64  // byte of the first frame
	done  int64  // samples of a channel in frames so far
	seek  []byte // the points of the seek table
	err   error
}

// counted is a buffered file that knows how far it is, and is not closed.
type counted struct {
	*bufio.Writer
	file File
	at   int64
	err  error // the file's own
}

func (c *counted) Write(p []byte) (int, error) {
	n, err := c.Writer.Write(p)
	c.at += int64(n)
	return n, c.keep(err)
}

func (c *counted) Seek(offset int64, whence int) (int64, error) {
	if err := c.keep(c.Flush()); err != nil {
		return 0, err
	}
	at, err := c.file.Seek(offset, whence)
	return at, c.keep(err)
}

// keep keeps an error of the file: the encoder makes a text of it, in colours.
func (c *counted) keep(err error) error {
	if err != nil && c.err == nil {
		c.err = err
	}
	return err
}

// cause is the file's own error where it had one.
func (c *counted) cause(err error) error { return cmp.Or(c.err, err) }

// NewWriter checks form and writes the metadata, markers as chapters; exactly
// form.Frames will be written. It refuses what a FLAC file
// cannot hold: texts that are not UTF-8, more frames than 36 bits can count.
func NewWriter(f File, form audio.FileInfo) (*Writer, error) {
	// The widths of their fields (RFC 9639 section 8.2).
	const maxRate, maxFrames = 1<<20 - 1, 1<<36 - 1
	if err := form.Check(maxRate, maxFrames); err != nil {
		return nil, fmt.Errorf("flac: %w", err)
	}
	blocks, err := metadata(&form)
	if err != nil {
		return nil, err
	}
	w := &Writer{file: &counted{Writer: bufio.NewWriterSize(f, 256<<10), file: f}, form: form, length: form.Frames * int64(form.FrameBytes())}
	w.encoder, err = flac.NewEncoder(w.file, &meta.StreamInfo{
		BlockSizeMin: block, BlockSizeMax: block, SampleRate: uint32(form.Rate),
		NChannels: uint8(form.Channels), BitsPerSample: uint8(form.Bits), NSamples: uint64(form.Frames),
	}, blocks...)
	if err == nil {
		err = w.file.Flush()
	}
	if err != nil {
		return nil, fmt.Errorf("flac: writing the head: %w", w.file.cause(err))
	}
	w.first = w.file.at
	w.frame = &frame.Frame{Header: frame.Header{
		HasFixedBlockSize: true, SampleRate: uint32(form.Rate), Channels: frame.ChannelsMono, BitsPerSample: uint8(form.Bits),
	}}
	for c := range form.Channels {
		w.samples[c] = make([]int32, block)
		w.frame.Subframes = append(w.frame.Subframes, &frame.Subframe{})
	}
	return w, nil
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
	w.written += int64(len(p))
	taken := len(p)
	size := block * w.form.FrameBytes()
	for len(w.pending)+len(p) >= size {
		n := size - len(w.pending)
		if len(w.pending) == 0 {
			w.encode(p[:n])
		} else {
			w.encode(append(w.pending, p[:n]...))
		}
		w.pending, p = w.pending[:0], p[n:]
		if w.err != nil {
			return 0, w.err
		}
	}
	w.pending = append(w.pending, p...)
	return taken, nil
}

// encode writes a frame of one block of bytes.
func (w *Writer) encode(pcm []byte) {
	n := len(pcm) / w.form.FrameBytes()
	w.split(pcm, n)
	f := w.frame
	f.BlockSize = uint16(n)
	for c, sub := range f.Subframes {
		*sub = frame.Subframe{Samples: w.samples[c][:n], NSamples: n}
		sub.Pred = frame.PredVerbatim // for the encoder to look for something better
		if constant(sub.Samples) {
			sub.Pred = frame.PredConstant // which it is slow to find
		}
	}
	if w.form.Channels == 2 {
		f.Channels = frame.ChannelsLR
		if side := f.Subframes[1]; slices.Equal(f.Subframes[0].Samples, side.Samples) {
			// Channels that are alike take the room of one: what parts them is silence.
			f.Channels, side.Pred = frame.ChannelsLeftSide, frame.PredConstant
		}
	}
	w.point(n)
	if err := w.encoder.WriteFrame(f); err != nil {
		w.err = fmt.Errorf("flac: writing samples: %w", w.file.cause(err))
	}
	w.done += int64(n)
}

// split takes n samples of each channel apart.
func (w *Writer) split(pcm []byte, n int) {
	size, channels := w.form.Bits/8, w.form.Channels
	for c := range channels {
		in, out := pcm[c*size:], w.samples[c][:n]
		for i := range out {
			b := in[i*size*channels:]
			if size == 2 {
				out[i] = int32(int16(binary.LittleEndian.Uint16(b)))
			} else {
				out[i] = int32(uint32(b[0])<<8|uint32(b[1])<<16|uint32(b[2])<<24) >> 8
			}
		}
	}
}

func constant(x []int32) bool {
	for _, v := range x {
		if v != x[0] {
			return false
		}
	}
	return true
}

// Close writes what is left, and completes the head. It is an error if not exactly
// the promised frames were written; the file is then of no use. Close does not
// close the file.
func (w *Writer) Close() error {
	if w.err == nil && w.written != w.length {
		w.err = fmt.Errorf("flac: %d of %d frames were written", w.written/int64(w.form.FrameBytes()), w.form.Frames)
	}
	if w.err == nil && len(w.pending) > 0 {
		w.encode(w.pending)
	}
	if w.err != nil {
		return w.err
	}
	if err := w.complete(); err != nil {
		w.err = fmt.Errorf("flac: finishing the file: %w", w.file.cause(err))
		return w.err
	}
	w.err = errors.New("flac: the file is finished")
	return nil
}

// complete writes into the head what is known at the end: the sum of all samples, and
// where the points of the seek table lead.
func (w *Writer) complete() error {
	if err := w.encoder.Close(); err != nil {
		return err
	}
	if err := w.file.Flush(); err != nil {
		return err
	}
	sizes := binary.BigEndian.AppendUint16(nil, block)
	if _, err := w.file.file.WriteAt(bytes.Repeat(sizes, 2), blockSizesAt); err != nil {
		return err
	}
	if len(w.seek) == 0 {
		return nil
	}
	_, err := w.file.file.WriteAt(w.seek, seekTableAt)
	return err
}
