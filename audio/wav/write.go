package wav

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"

	goaudio "github.com/go-audio/audio"
	gowav "github.com/go-audio/wav"

	"cuewright/audio"
)

// Format is what a Writer is told before the first byte.
type Format struct {
	audio.FileInfo
	Software string // written as ISFT, if not empty
	// Broadcast asks for a bext chunk (EBU Tech 3285), whose loudness SetLoudness
	// gives when it is known.
	Broadcast bool
}

// File is what a Writer writes to; an empty *os.File is one.
type File interface {
	io.WriteSeeker
	io.WriterAt
}

// Writer writes one WAV file: head, samples, then markers, texts and loudness. An error
// once met is returned by every later call.
type Writer struct {
	file    File
	encoder *gowav.Encoder
	frame   int   // bytes of a frame
	length  int64 // bytes of all samples
	written int64 // bytes of samples so far
	tail    []byte
	bext    []byte
	form    Format
	err     error
}

const (
	headerLen  = 44         // of the file, up to the first sample
	dataSizeAt = 40         // where the size of the data chunk stands
	maxRIFF    = 0xFFFFFFFF // bytes, what the size of a RIFF file can say
)

// NewWriter checks form and writes the head of the file. It refuses, before it
// writes anything, what a WAV file cannot hold: more than 4 GiB in all, markers
// outside the track, texts that are not UTF-8 or hold a zero.
func NewWriter(f File, form Format) (*Writer, error) {
	if err := form.check(); err != nil {
		return nil, err
	}
	w := &Writer{file: f, frame: form.FrameBytes(), tail: form.tail(), form: form}
	nan := math.NaN()
	w.SetLoudness(Loudness{nan, nan, nan, nan, nan})
	if form.Frames > maxRIFF/int64(w.frame) {
		return nil, tooLong(form)
	}
	w.length = form.Frames * int64(w.frame)
	if headerLen-8+w.length+w.length%2+int64(len(w.tail)+len(w.bext)) > maxRIFF {
		return nil, tooLong(form)
	}

	// The encoder makes a buffer for a minute of the sound it is told of, which is
	// of no use here, since samples go past it. So it hears of the channels only
	// afterwards. It would also sync an *os.File on Close, and is shown none.
	w.encoder = gowav.NewEncoder(struct{ io.WriteSeeker }{f}, int(form.Rate), form.Bits, 0, tagPCM)
	w.encoder.NumChans = form.Channels
	empty := &goaudio.IntBuffer{Format: &goaudio.Format{NumChannels: form.Channels, SampleRate: int(form.Rate)}}
	if err := w.encoder.Write(empty); err != nil {
		return nil, fmt.Errorf("wav: writing the head: %w", err)
	}
	return w, nil
}

func tooLong(form Format) error {
	return fmt.Errorf("wav: %d frames of %d channels of %d bits are more than the 4 GiB of a WAV file", form.Frames, form.Channels, form.Bits)
}

func (form Format) check() error {
	if err := form.Check(math.MaxInt32, math.MaxInt64); err != nil {
		return fmt.Errorf("wav: %w", err)
	}
	if err := audio.CheckText(form.Software); err != nil {
		return fmt.Errorf("wav: %w", err)
	}
	return nil
}

// Write writes samples as they stand in the file: little-endian, interleaved, as
// many bytes as the format has. A call may end inside a frame. More than the
// promised frames are refused.
func (w *Writer) Write(p []byte) (int, error) {
	if w.err != nil {
		return 0, w.err
	}
	if w.written+int64(len(p)) > w.length {
		w.err = fmt.Errorf("wav: more than the promised %d frames", w.length/int64(w.frame))
		return 0, w.err
	}
	// Straight to the file: the encoder would take a thousand times as long for
	// each sample, or copy each block. It only has to know how much went past.
	n, err := w.file.Write(p)
	w.written += int64(n)
	w.encoder.WrittenBytes += n
	if err == nil && n < len(p) {
		err = io.ErrShortWrite
	}
	if err != nil {
		w.err = fmt.Errorf("wav: writing samples: %w", err)
	}
	return n, w.err
}

// SetLoudness gives the loudness for the broadcast chunk, before Close. What is
// not given is told as not known.
func (w *Writer) SetLoudness(l Loudness) {
	if w.form.Broadcast {
		w.bext = w.form.broadcast(l)
	}
}

// Close writes what follows the samples and sets the sizes. It is an error if not
// exactly the promised frames were written; the file is then of no use. Close
// neither closes nor syncs the file.
func (w *Writer) Close() error {
	if w.err != nil {
		return w.err
	}
	if w.written != w.length {
		w.err = fmt.Errorf("wav: %d of %d frames were written", w.written/int64(w.frame), w.length/int64(w.frame))
		return w.err
	}
	if err := w.finish(); err != nil {
		w.err = fmt.Errorf("wav: finishing the file: %w", err)
		return w.err
	}
	w.err = errors.New("wav: the file is finished")
	return nil
}

func (w *Writer) finish() error {
	tail := slices.Concat(w.tail, w.bext)
	if w.length%2 == 1 {
		tail = append([]byte{0}, tail...)
	}
	if len(tail) > 0 {
		if err := w.encoder.AddLE(tail); err != nil {
			return err
		}
	}
	if err := w.encoder.Close(); err != nil {
		return err
	}
	// The encoder sets the size of the data chunk from the frames that it wrote
	// itself, which are none.
	_, err := w.file.WriteAt(binary.LittleEndian.AppendUint32(nil, uint32(w.length)), dataSizeAt)
	return err
}
