// Package recording opens a finished track to be listened to: its samples block by block,
// its form, its title and its markers.
package recording

import (
	"context"
	"io"

	"cuewright/audio"
	"cuewright/audio/decode"
	"cuewright/audio/ffmpeg"
)

// A Recording is a finished track to be listened to.
type Recording struct {
	Rate     audio.Rate
	Channels int
	Bits     int // of a sample, 0 where the form has none
	// Lossy is true for forms that do not keep the samples.
	Lossy bool
	// Markers are those of the file, nil where they cannot be read for the reason
	// Unread.
	Markers []audio.Marker
	Unread  string
	// Chapters is set for forms whose markers are told in milliseconds.
	Chapters bool
	Title    string

	open func() (*decode.Stream, error) // from its first frame on
}

// Open makes ready to listen to a file of any kind that [decode.Open] reads, as long
// as ctx lasts. Errors are for files that cannot be read.
func Open(ctx context.Context, path string) (*Recording, error) {
	r := &Recording{open: func() (*decode.Stream, error) { return decode.Open(ctx, path) }}
	s, err := r.open()
	if err != nil {
		return nil, err
	}
	defer s.Close()
	r.Rate, r.Channels, r.Lossy = s.Rate, s.Channels, !s.Lossless
	if s.WAV != nil {
		r.Bits, r.Title = s.WAV.Bits, s.WAV.Title
		r.Markers = append([]audio.Marker{}, s.WAV.Markers...) // not nil: a file without any has lost them
		return r, nil
	}
	if !ffmpeg.Installed() {
		r.Unread = "ffmpeg reads the chapters of this form, where it is installed"
		return r, nil
	}
	tags, err := decode.ReadTags(ctx, path)
	if err != nil {
		r.Unread = err.Error()
		return r, ctx.Err()
	}
	r.Title, r.Chapters, r.Markers = tags.Title, true, []audio.Marker{}
	for _, c := range tags.Chapters {
		r.Markers = append(r.Markers, audio.Marker{Frame: r.Rate.Frame(c.Start), Label: c.Title})
	}
	return r, nil
}

// Blocks reads a recording to its end, a block of mono at a time: the mean of its
// channels. all gets the same block with every channel, where not nil.
func (r *Recording) Blocks(mono func([]float32), all func(at int64, block []float32)) (frames int64, err error) {
	s, err := r.open()
	if err != nil {
		return 0, err
	}
	defer s.Close()
	const block = 1 << 14 // frames
	buf := make([]float32, block*r.Channels)
	one := make([]float32, block)
	for {
		samples, err := s.Read(buf)
		if n := samples / r.Channels; n > 0 {
			x := buf[:samples]
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
