package verify

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os"

	"cuewright/audio"
	"cuewright/audio/decode"
	"cuewright/audio/wav"
)

// A Recording is a finished track to be listened to.
type Recording struct {
	Rate     audio.Rate
	Channels int
	Bits     int // of a sample, 0 where the form has none
	// Lossy is true for forms that do not keep the samples.
	Lossy bool
	// Markers are those of the file, nil where its form has none that are read.
	Markers []wav.Marker
	Title   string
	// Start begins to read it from its first frame. It is called twice.
	Start func() (Stream, error)
}

// A Stream gives the samples of a recording.
type Stream interface {
	// Read fills dst with interleaved samples of full scale ±1, whole frames, and
	// returns how many frames; 0 and io.EOF at the end.
	Read(dst []float32) (frames int, err error)
	Close() error
}

// wavStream reads a WAV file.
type wavStream struct {
	*wav.Reader
	file *os.File
}

func (s *wavStream) Read(dst []float32) (int, error) {
	n, err := s.Reader.Read(dst)
	return n / s.Info.Channels, err
}

func (s *wavStream) Close() error { return s.file.Close() }

func openWAV(path string) (*wavStream, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	info, err := f.Stat()
	if err == nil {
		var r *wav.Reader
		if r, err = wav.NewReader(f, info.Size()); err == nil {
			return &wavStream{r, f}, nil
		}
	}
	f.Close()
	return nil, fmt.Errorf("%s: %w", path, err)
}

// Open makes ready to listen to a file: WAV is read here, other kinds as
// [decode.Open] reads them, as long as ctx lasts. Errors are for files that cannot
// be read.
func Open(ctx context.Context, path string) (*Recording, error) {
	head, err := firstBytes(path)
	if err != nil {
		return nil, err
	}
	if !bytes.HasPrefix(head, []byte("RIFF")) {
		return openOther(ctx, path, !bytes.Contains(head, []byte("fLaC")))
	}
	s, err := openWAV(path)
	if err != nil {
		return nil, err
	}
	defer s.Close()
	r := &Recording{Rate: s.Info.Rate, Channels: s.Info.Channels, Bits: s.Info.Bits, Markers: s.Info.Markers, Title: s.Info.Title,
		Start: func() (Stream, error) { return openWAV(path) }}
	if r.Markers == nil {
		r.Markers = []wav.Marker{}
	}
	return r, nil
}

func firstBytes(path string) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	head := make([]byte, 4096)
	n, err := io.ReadFull(f, head)
	if err != nil && err != io.ErrUnexpectedEOF && err != io.EOF {
		return nil, fmt.Errorf("reading %s: %w", path, err)
	}
	return head[:n], nil
}

// openOther opens what is no WAV file. Its markers are not read.
func openOther(ctx context.Context, path string, lossy bool) (*Recording, error) {
	s, err := decode.Open(ctx, path)
	if err != nil {
		return nil, err
	}
	defer s.Close()
	return &Recording{Rate: s.Rate, Channels: s.Channels, Lossy: lossy,
		Start: func() (Stream, error) { return decode.Open(ctx, path) }}, nil
}

// blocks reads a recording to its end, a block of mono at a time: the mean of its
// channels. all gets the same block with every channel, where not nil.
func (r *Recording) blocks(mono func([]float32), all func(at int64, block []float32)) (frames int64, err error) {
	s, err := r.Start()
	if err != nil {
		return 0, err
	}
	defer s.Close()
	const block = 1 << 14 // frames
	buf := make([]float32, block*r.Channels)
	one := make([]float32, block)
	for {
		n, err := s.Read(buf)
		if n > 0 {
			x := buf[:n*r.Channels]
			if all != nil {
				all(frames, x)
			}
			if r.Channels > 1 {
				for i := range n {
					var sum float32
					for _, v := range x[i*r.Channels : (i+1)*r.Channels] {
						sum += v
					}
					one[i] = sum / float32(r.Channels)
				}
				x = one[:n]
			}
			mono(x)
			frames += int64(n)
		}
		if err == io.EOF {
			return frames, nil
		}
		if err != nil {
			return frames, err
		}
	}
}
