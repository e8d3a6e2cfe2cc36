// Package bed makes a file of music ready to lie under a class: of one channel, at
// the track's rate, as long as it must be.
//
// An hour of music never stands in memory. It is decoded once, in blocks, into a
// temporary file, out of which any stretch can be read, in any order.
package bed

import (
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"sync"
	"time"

	"cuewright/audio"
	"cuewright/audio/decode"
	"cuewright/audio/loudness"
)

// Crossfade is how long the end of the music and its beginning sound together
// where it starts again. Common practice for music with a beat.
const Crossfade = 4 * time.Second

// Shortest is the shortest music that can lie under a class longer than itself.
const Shortest = 3 * Crossfade

// A Bed is music as mono samples. It goes on for ever, starting again where it
// ends. Reading is safe for concurrent use.
type Bed struct {
	Rate audio.Rate
	// Frames is how long the music is, before it starts again.
	Frames int64
	// Loudness of those frames, integrated, as heard from two speakers, in LUFS.
	Loudness float64

	file    *os.File
	cross   int64 // 0 where the music is long enough
	buffers sync.Pool
}

const sampleBytes = 4

// Prepare decodes the file at path, as much of it as the track of frames needs, into
// a temporary file in the folder dir ("" for the system's), which goes with Close. Stereo
// is mixed down to the mean of its sides. The error names the file: it cannot be
// read, holds no sound, or is too short to be repeated.
func Prepare(ctx context.Context, path string, rate audio.Rate, frames int64, dir string) (*Bed, error) {
	stream, err := decode.Open(ctx, path)
	if err != nil {
		return nil, err
	}
	defer stream.Close()
	file, err := os.CreateTemp(dir, "cuewright-bed-*")
	if err != nil {
		return nil, err
	}
	// Where an open file can go, nothing is left over, whatever happens.
	os.Remove(file.Name())
	b := &Bed{Rate: rate, file: file, cross: rate.Frame(Crossfade)}
	if err = b.fill(ctx, stream, frames); err == nil {
		err = b.usable(frames)
	}
	if err != nil {
		b.Close()
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	if b.Frames == frames {
		b.cross = 0
	}
	return b, nil
}

// Check finds out what Prepare would say of a file without decoding more of it than
// shows that there is sound, and enough of it: most often the first seconds. Damage
// behind them is not found.
func Check(ctx context.Context, path string, rate audio.Rate, frames int64) error {
	stream, err := decode.Open(ctx, path)
	if err != nil {
		return err
	}
	defer stream.Close()
	b := &Bed{Rate: rate}
	meter := loudness.NewIntegrator(rate, 2)
	look := rate.Frame(Shortest) // the next frame at which to see whether there is sound
	err = b.decode(ctx, stream, frames, func(block []float32) (bool, error) {
		meter.Add(block)
		if b.Frames < look {
			return true, nil
		}
		look += rate.Frame(Shortest)
		return math.IsInf(meter.Integrated(), -1), nil
	})
	b.Loudness = meter.Integrated()
	if err == nil {
		err = b.usable(frames)
	}
	if err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	return nil
}

// usable tells why music as measured cannot lie under a track of so many frames.
func (b *Bed) usable(frames int64) error {
	length := b.Rate.Length(b.Frames)
	switch {
	case math.IsInf(b.Loudness, -1):
		return errors.New("there is no sound in it that could be measured")
	case b.Frames < frames && length < Shortest:
		return fmt.Errorf("%.1f s of music cannot be repeated under a class: %.0f s is the least", length.Seconds(), Shortest.Seconds())
	}
	return nil
}

// fill decodes up to so many frames into the file and measures them.
func (b *Bed) fill(ctx context.Context, stream *decode.Stream, frames int64) error {
	meter := loudness.NewIntegrator(b.Rate, 2)
	var raw []byte
	err := b.decode(ctx, stream, frames, func(block []float32) (bool, error) {
		meter.Add(block)
		raw = raw[:0]
		for _, x := range block {
			raw = binary.LittleEndian.AppendUint32(raw, math.Float32bits(x))
		}
		_, err := b.file.Write(raw)
		return true, err
	})
	b.Loudness = meter.Integrated()
	return err
}

// decode counts up to so many frames of the music and gives them to take, in blocks,
// until it wants no more.
func (b *Bed) decode(ctx context.Context, stream *decode.Stream, frames int64, take func(block []float32) (more bool, err error)) error {
	resampler := audio.NewResampler(stream.Rate, b.Rate)
	in := make([]float32, 16<<10/stream.Channels*stream.Channels)
	var mono, out []float32
	for more := true; more && b.Frames < frames; {
		if err := ctx.Err(); err != nil {
			return err
		}
		n, err := stream.Read(in)
		mono = mixDown(mono[:0], in[:n], stream.Channels)
		out = resampler.Add(out[:0], mono)
		if err == io.EOF {
			out = resampler.End(out)
		} else if err != nil {
			return err
		}
		out = out[:min(int64(len(out)), frames-b.Frames)]
		b.Frames += int64(len(out))
		var failed error
		if more, failed = take(out); failed != nil {
			return failed
		}
		if err == io.EOF {
			break
		}
	}
	return nil
}

// mixDown appends the mean of all channels to out.
func mixDown(out, in []float32, channels int) []float32 {
	share := 1 / float32(channels)
	for ; len(in) >= channels; in = in[channels:] {
		var sum float32
		for _, x := range in[:channels] {
			sum += x
		}
		out = append(out, sum*share)
	}
	return out
}

// Read fills dst with the music from frame at on, at or after 0. Where it starts
// again, its end goes out while its beginning comes in, at equal power: two stretches
// of music are as good as independent, so their powers add up. The error is the
// file's.
func (b *Bed) Read(dst []float32, at int64) error {
	period := b.Frames - b.cross
	for len(dst) > 0 {
		// Every round but the first begins while the one before it ends.
		round := max(0, at-b.cross) / period
		within, edge := at-round*period, period
		if within >= period {
			edge = b.Frames
		}
		n := min(int64(len(dst)), edge-within)
		if err := b.read(dst[:n], within); err != nil {
			return err
		}
		if within >= period {
			begin := make([]float32, n)
			if err := b.read(begin, within-period); err != nil {
				return err
			}
			for i, x := range begin {
				angle := math.Pi / 2 * (float64(within-period+int64(i)) + 0.5) / float64(b.cross)
				dst[i] = float32(dst[i]*float32(math.Cos(angle))) + float32(x*float32(math.Sin(angle)))
			}
		}
		dst, at = dst[n:], at+n
	}
	return nil
}

// read fills dst with the samples of the file from a frame on.
func (b *Bed) read(dst []float32, frame int64) error {
	buffer, _ := b.buffers.Get().(*[]byte)
	if buffer == nil || cap(*buffer) < sampleBytes*len(dst) {
		buffer = new(make([]byte, sampleBytes*len(dst)))
	}
	defer b.buffers.Put(buffer)
	raw := (*buffer)[:sampleBytes*len(dst)]
	if _, err := b.file.ReadAt(raw, frame*sampleBytes); err != nil {
		return err
	}
	for i := range dst {
		dst[i] = math.Float32frombits(binary.LittleEndian.Uint32(raw[sampleBytes*i:]))
	}
	return nil
}

// Close removes the temporary file.
func (b *Bed) Close() error {
	err := b.file.Close()
	os.Remove(b.file.Name()) // where it could not go while it was open
	return err
}
