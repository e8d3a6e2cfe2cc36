package decode

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"os"

	"cuewright/audio"
	"cuewright/audio/ffmpeg"
	"cuewright/audio/flac/flacread"
	"cuewright/audio/mp3"
	"cuewright/audio/wav"
)

// A Stream is a long recording, music or a finished track, that is read in blocks
// and never stands in memory as a whole.
type Stream struct {
	Rate     audio.Rate // within [audio.MinRate] and [audio.MaxRate]
	Channels int        // 1 to 8
	// Lossless is true for WAV and FLAC; what ffmpeg reads may be either.
	Lossless bool
	// WAV is what a WAV file tells of itself, nil for other kinds.
	WAV *wav.Info

	source  source
	pending []float32 // decoded, not yet read
	err     error     // what comes after pending
	close   func() error
}

// A source appends the samples of its next block, interleaved, to out, and may
// append some with an error too. io.EOF ends the sound.
type source interface {
	Next(out []float32) ([]float32, error)
}

// Open opens a recording of any kind and length: WAV, MP3 and FLAC, and with the
// ffmpeg on the PATH what it knows, as [Any] does. ctx ends that ffmpeg. The errors
// are those of [Any], and those of the file.
func Open(ctx context.Context, path string) (*Stream, error) {
	file, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	s, err := openStream(ctx, path, file)
	if err != nil {
		file.Close()
		return nil, err
	}
	if s.Rate < audio.MinRate || s.Rate > audio.MaxRate {
		s.Close()
		return nil, fmt.Errorf("%s: %d frames a second (%d to %d can be used)", path, s.Rate, audio.MinRate, audio.MaxRate)
	}
	return s, nil
}

func openStream(ctx context.Context, path string, file *os.File) (*Stream, error) {
	info, err := file.Stat()
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() {
		return nil, fmt.Errorf("%s: is no file", path)
	}
	body, head, err := beginning(file, info.Size())
	if err != nil {
		return nil, err
	}
	s, err := native(file, info.Size(), body, head)
	var unsupported audio.UnsupportedError
	switch {
	case err == nil:
		s.close = file.Close
		return s, nil
	case errors.As(err, &unsupported):
		reader := readerFor(head)
		if reader == "" || !ffmpeg.Installed() {
			return nil, &ForeignError{path, err.Error(), reader}
		}
		file.Close()
		f, err := ffmpeg.Open(ctx, path, reader)
		if err != nil {
			return nil, err
		}
		return &Stream{Rate: f.Rate, Channels: f.Channels, source: f, close: f.Close}, nil
	}
	return nil, fmt.Errorf("%s: %w", path, err)
}

// beginning is where the sound of a file begins, behind its tags, and what the
// first frames of it are.
func beginning(file io.ReaderAt, size int64) (body int64, head []byte, err error) {
	const enough = 256 << 10 // to find an MP3 frame in
	head = make([]byte, enough)
	for {
		n, err := file.ReadAt(head, body)
		if err != nil && err != io.EOF {
			return 0, nil, err
		}
		tag := mp3.TagLen(head[:n], size-body)
		if tag == 0 {
			return body, head[:n], nil
		}
		body += tag
	}
}

// native opens what needs no other program.
func native(file io.ReaderAt, size, body int64, head []byte) (*Stream, error) {
	switch {
	case size == 0:
		return nil, errors.New("the file is empty")
	case body == 0 && isWAV(head):
		r, err := wav.NewReader(file, size)
		if err != nil {
			return nil, err
		}
		return &Stream{Rate: r.Info.Rate, Channels: r.Info.Channels, Lossless: true, WAV: &r.Info, source: (*wavSource)(r)}, nil
	case isFLAC(head):
		f, err := flacread.Open(bufio.NewReaderSize(io.NewSectionReader(file, body, size-body), 64<<10))
		if err != nil {
			return nil, err
		}
		return &Stream{Rate: f.Rate, Channels: f.Channels, Lossless: true, source: f}, nil
	}
	if k := kindOf(head); k.name != "" {
		return nil, audio.UnsupportedError(k.name)
	}
	if start, ok := mp3.Find(head); ok {
		m, err := mp3.Open(file, body+int64(start), size)
		if err != nil {
			return nil, err
		}
		return &Stream{Rate: m.Rate, Channels: m.Channels, source: m}, nil
	}
	return nil, audio.UnsupportedError("a file of an unknown kind")
}

// Read fills dst with whole frames, interleaved and linear, full scale at ±1, as
// many as dst takes or are left. It returns the number of samples, not frames, and
// at the end of the sound 0 and io.EOF. dst must have room for one frame. Damage that
// ends the sound is an error, behind what comes before it; MP3 frames that lack their
// data are silent, as [Bytes] makes them.
func (s *Stream) Read(dst []float32) (int, error) {
	dst = dst[:len(dst)/s.Channels*s.Channels]
	done := 0
	for done < len(dst) {
		if len(s.pending) == 0 {
			if s.err != nil {
				break
			}
			s.pending, s.err = s.source.Next(s.pending[:0])
			continue
		}
		n := copy(dst[done:], s.pending)
		s.pending = s.pending[n:]
		done += n
	}
	if done == 0 && len(dst) > 0 {
		return 0, s.err
	}
	return done, nil
}

// Close ends the reading.
func (s *Stream) Close() error { return s.close() }

// wavSource is a WAV file in blocks.
type wavSource wav.Reader

func (w *wavSource) Next(out []float32) ([]float32, error) {
	const block = 16 << 10
	if cap(out) < block {
		out = make([]float32, 0, block)
	}
	n, err := (*wav.Reader)(w).Read(out[:block])
	return out[:n], err
}
