package decode

import (
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
)

// mpegWindow is how many bytes of an MP3 file are decoded at a time: at most two
// minutes of 16 kbit/s, or 6 s of 320.
var mpegWindow int64 = 256 << 10

// warmUp is how many frames are decoded before those of a window, and thrown away,
// so that the decoder has what they lean on: the reservoir reaches back 511 bytes,
// ten of the shortest frames, and the filter banks two frames.
const warmUp = 32

// An mpegStream reads an MP3 file window by window, each with a decoder of its
// own, and gives the same samples as one decoder of the whole.
type mpegStream struct {
	file     io.ReaderAt
	at, size int64 // of the next window, and of the file
	first    mpegHeader
	channels int
	warm     int   // frames at the beginning of the next window that were given before
	skip     int64 // frames of sound to leave out before the first that is given
	left     int64 // frames of sound that are still to be given
	ended    bool
}

// openMPEG opens a stream whose first frame, like first, stands at a byte.
func openMPEG(file io.ReaderAt, at, size int64, first mpegHeader) (*mpegStream, error) {
	if err := readable(first); err != nil {
		return nil, err
	}
	m := &mpegStream{file: file, at: at, size: size, first: first, left: math.MaxInt64}
	f, err := m.window()
	if err != nil {
		return nil, err
	}
	tag := f.takeTag()
	if len(f.starts) == 0 {
		return nil, errors.New("no whole MP3 frame is in the file")
	}
	if _, _, err := f.repair(); err != nil {
		return nil, err
	}
	m.at += int64(f.starts[0])
	m.channels = f.channels()
	if tag.known {
		m.skip = int64(tag.delay + decoderDelay)
		if tag.frames > 0 {
			m.left = int64(tag.frames*first.samples() - tag.delay - tag.padding)
		}
	}
	return m, nil
}

// readable tells of the kinds of MPEG audio that are not decoded here.
func readable(first mpegHeader) error {
	switch {
	case first.layer != 3:
		return foreign("MPEG audio of layer " + strings.Repeat("I", first.layer))
	case first.version == 25:
		return foreign(fmt.Sprintf("MP3 of %d Hz (MPEG-2.5)", first.rate))
	case first.kbits == 0:
		return foreign("MP3 in free format")
	}
	return nil
}

// window reads the frames from m.at on.
func (m *mpegStream) window() (*frames, error) {
	data := make([]byte, min(mpegWindow, m.size-m.at))
	if _, err := m.file.ReadAt(data, m.at); err != nil && err != io.EOF {
		return nil, err
	}
	return walkFrames(data, m.first)
}

func (m *mpegStream) next(out []float32) ([]float32, error) {
	if m.ended || m.left <= 0 {
		return out, io.EOF
	}
	f, err := m.window()
	if err != nil {
		return out, err
	}
	n := len(f.starts)
	warm := m.warm
	switch {
	case m.at+mpegWindow >= m.size:
		m.ended = true
	case n <= warmUp:
		m.ended = true
		return out, errors.New("the MP3 data are damaged")
	default:
		// The last frame may be cut by the window's end; what follows needs a run-up.
		m.at += int64(f.starts[n-warmUp])
		m.warm = warmUp
	}
	feed, _, err := f.repair()
	if err != nil {
		return out, err
	}
	clip := Clip{Channels: m.channels}
	if err := clip.runDecoder(feed, n*m.first.samples()); err != nil {
		return out, err
	}
	sound := clip.Samples[min(len(clip.Samples), warm*m.first.samples()*m.channels):]
	drop := min(m.skip, int64(len(sound)/m.channels))
	m.skip -= drop
	sound = sound[drop*int64(m.channels):]
	give := min(m.left, int64(len(sound)/m.channels))
	m.left -= give
	return append(out, sound[:give*int64(m.channels)]...), nil
}
