package wav

import (
	"bytes"
	"cuewright/audio"
	"fmt"
	"io"
)

// Reader gives the samples of a file block by block, so that a long track need
// not stand in memory.
type Reader struct {
	// Info tells what the file holds. Its Warnings may grow while samples are read.
	Info Info

	file   io.ReaderAt
	format encoding
	at     int64 // next byte to read
	end    int64
	raw    []byte
	broken int
}

// NewReader finds format, markers and texts of a file of size bytes, and makes
// ready to read its samples. The error is a [FormatError], an [audio.UnsupportedError]
// or one of file's own; sizes that are wrong are Warnings in the Info.
func NewReader(file io.ReaderAt, size int64) (*Reader, error) {
	s, err := scan(file, size)
	if err != nil {
		return nil, err
	}
	return &Reader{
		Info: s.info, file: file, format: s.format,
		at: s.data.start, end: s.data.start + s.data.length,
	}, nil
}

// Read fills dst with whole frames, interleaved and linear, full scale at ±1, as
// many as dst takes and the file holds. It returns the number of samples, not
// frames. At the end of the samples it returns 0 and io.EOF. dst must have room
// for one frame.
func (r *Reader) Read(dst []float32) (int, error) {
	if r.at == r.end {
		if r.broken > 0 {
			r.Info.Warnings = append(r.Info.Warnings, plural(r.broken, "sample was", "samples were")+" no number or far beyond full scale: taken as silence")
			r.broken = 0
		}
		return 0, io.EOF
	}
	const most = 64 << 10 // bytes at a time, which fits the nearest cache
	done := 0
	for {
		frames := min(len(dst[done:])/r.format.channels, most/r.format.frame)
		n := int(min(int64(frames*r.format.frame), r.end-r.at))
		if n == 0 {
			return done, nil
		}
		if len(r.raw) < n {
			r.raw = make([]byte, n)
		}
		if got, err := r.file.ReadAt(r.raw[:n], r.at); got < n {
			return done, err
		}
		r.at += int64(n)
		r.broken += r.format.decode(dst[done:], r.raw[:n])
		done += n / r.format.bytes
	}
}

// Decode reads a whole recording. The error is one of [NewReader], or of
// [audio.CheckClip]. It takes as much memory as the bytes that are there need,
// whatever the file claims.
func Decode(data []byte) (audio.Clip, error) {
	r, err := NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return audio.Clip{}, err
	}
	if err := audio.CheckClip(r.Info.Rate, r.Info.Channels, r.Info.Frames); err != nil {
		return audio.Clip{}, err
	}
	clip := audio.Clip{Rate: r.Info.Rate, Channels: r.Info.Channels, Samples: make([]float32, r.Info.Frames*int64(r.Info.Channels))}
	for at := 0; ; {
		n, err := r.Read(clip.Samples[at:])
		at += n
		if err == io.EOF {
			clip.Warnings = r.Info.Warnings
			return clip, nil
		}
		if err != nil {
			return audio.Clip{}, err
		}
	}
}

// plural is "1 one" or "n many".
func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
