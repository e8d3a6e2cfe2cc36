package mp3

import (
	"cuewright/audio"
	"errors"
	"io"
	"math"
)

// window is how many bytes of an MP3 file are decoded at a time: at most two
// minutes of 16 kbit/s, or 6 s of 320.
var window int64 = 256 << 10

// warmUp is how many frames are decoded before those of a window, and thrown away,
// so that the decoder has what they lean on: the reservoir reaches back 511 bytes,
// ten of the shortest frames, and the filter banks two frames.
const warmUp = 32

// A Stream reads an MP3 file window by window, each with a decoder of its own, and
// gives the same samples as one decoder of the whole.
type Stream struct {
	Rate     audio.Rate
	Channels int // 1 or 2

	file     io.ReaderAt
	at, size int64 // of the next window, and of the file
	first    header
	warm     int   // frames at the beginning of the next window that were given before
	skip     int64 // frames of sound to leave out before the first that is given
	left     int64 // frames of sound that are still to be given
	ended    bool
}

// Open opens a file of size bytes whose first frame, as [Find] finds it, stands at
// byte at. Errors are those of [Decode].
func Open(file io.ReaderAt, at, size int64) (*Stream, error) {
	head := make([]byte, headerLen)
	if _, err := file.ReadAt(head, at); err != nil {
		return nil, err
	}
	first, err := readable(head)
	if err != nil {
		return nil, err
	}
	m := &Stream{Rate: audio.Rate(first.rate), file: file, at: at, size: size, first: first, left: math.MaxInt64}
	f, err := m.read()
	if err != nil {
		return nil, err
	}
	tag := f.takeTag()
	if len(f.starts) == 0 {
		return nil, errNoFrame
	}
	if _, _, err := f.repair(); err != nil {
		return nil, err
	}
	m.at += int64(f.starts[0])
	m.Channels = f.channels()
	if tag.known {
		m.skip = int64(tag.delay + decoderDelay)
		if tag.frames > 0 {
			m.left = int64(tag.frames*first.samples() - tag.delay - tag.padding)
		}
	}
	return m, nil
}

// read reads the frames from m.at on.
func (m *Stream) read() (*frames, error) {
	data := make([]byte, min(window, m.size-m.at))
	if _, err := m.file.ReadAt(data, m.at); err != nil && err != io.EOF {
		return nil, err
	}
	return walkFrames(data, m.first)
}

// Next appends the samples of the next window, interleaved, to out; io.EOF ends the
// sound.
func (m *Stream) Next(out []float32) ([]float32, error) {
	if m.ended || m.left <= 0 {
		return out, io.EOF
	}
	f, err := m.read()
	if err != nil {
		return out, err
	}
	n := len(f.starts)
	warm := m.warm
	switch {
	case m.at+window >= m.size:
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
	sound, err := runDecoder(feed, m.Rate, m.Channels, n*m.first.samples())
	if err != nil {
		return out, err
	}
	sound = sound[min(len(sound), warm*m.first.samples()*m.Channels):]
	drop := min(m.skip, int64(len(sound)/m.Channels))
	m.skip -= drop
	sound = sound[drop*int64(m.Channels):]
	give := min(m.left, int64(len(sound)/m.Channels))
	m.left -= give
	return append(out, sound[:give*int64(m.Channels)]...), nil
}
