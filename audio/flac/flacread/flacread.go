// Package flacread reads FLAC files (RFC 9639), whole or in blocks. It shares no code
// with the package that writes them, so that what is written is checked when it is
// read.
//
// The blocks are decoded by github.com/mewkiz/flac. What is done around it: it refuses
// streams whose last block is short, where an encoder tells that as the smallest of
// the file; and a panic of it becomes an error.
package flacread

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"slices"

	"github.com/mewkiz/flac"

	"cuewright/audio"
)

// Decode reads a whole recording, which begins with the four letters of a stream.
// Damage behind the first block is a warning. The error is an
// [audio.UnsupportedError] for streams that change their shape, or one of
// [audio.CheckClip].
func Decode(data []byte) (audio.Clip, error) {
	s, err := Open(bytes.NewReader(data))
	if err != nil {
		return audio.Clip{}, err
	}
	clip := audio.Clip{Rate: s.Rate, Channels: s.Channels}
	if err := audio.CheckClip(clip.Rate, clip.Channels, s.declared); err != nil {
		return audio.Clip{}, err
	}
	// What the head claims counts only as far as the bytes may bear it out.
	clip.Samples = make([]float32, 0, min(s.declared*int64(clip.Channels), 4*int64(len(data))))
	for {
		samples, err := s.Next(clip.Samples)
		var unsupported audio.UnsupportedError
		switch {
		case err == io.EOF:
			if got := clip.Frames(); s.declared > 0 && got != s.declared {
				clip.Warn("%d frames are there, the head of the file says %d", got, s.declared)
			}
			return clip, nil
		case errors.As(err, &unsupported) || err != nil && len(clip.Samples) == 0:
			return audio.Clip{}, err
		case errors.Is(err, io.ErrUnexpectedEOF):
			clip.Warn("cut off after %v", clip.Length())
			return clip, nil
		case err != nil:
			clip.Warn("damaged after %v: the rest was left out (%v)", clip.Length(), err)
			return clip, nil
		}
		clip.Samples = samples
		if err := audio.CheckClip(clip.Rate, clip.Channels, clip.Frames()); err != nil {
			return audio.Clip{}, err
		}
	}
}

// A Stream reads a FLAC stream block by block.
type Stream struct {
	Rate     audio.Rate
	Channels int // 1 to 8

	stream   *flac.Stream
	declared int64 // samples of one channel; 0 where the encoder did not know
	scale    float32
}

// Open reads the head of a stream, which begins with its four letters.
func Open(r io.Reader) (s *Stream, err error) {
	defer damaged(&err)
	head := make([]byte, blockSizesEnd)
	n, err := io.ReadFull(r, head)
	if err != nil && err != io.ErrUnexpectedEOF {
		return nil, err
	}
	stream, err := flac.New(io.MultiReader(bytes.NewReader(allowShortBlocks(head[:n])), r))
	if err != nil {
		return nil, fmt.Errorf("the head of the FLAC file is damaged: %w", err)
	}
	info := stream.Info
	return &Stream{
		Rate: audio.Rate(info.SampleRate), Channels: int(info.NChannels),
		stream: stream, declared: int64(info.NSamples), scale: 1 / float32(uint64(1)<<(info.BitsPerSample-1)),
	}, nil
}

// damaged turns a panic of the decoder into an error. It turns damage into errors
// itself; should one kind of it be missed, this is still no reason to stop a class.
func damaged(err *error) {
	if r := recover(); r != nil {
		*err = fmt.Errorf("the FLAC data are damaged (%v)", r)
	}
}

// Next appends the samples of the next block, interleaved, to out; io.EOF ends the
// sound.
func (s *Stream) Next(out []float32) (_ []float32, err error) {
	defer damaged(&err)
	frame, err := s.stream.ParseNext()
	if err == io.EOF {
		return out, err
	}
	if err != nil {
		return out, fmt.Errorf("the FLAC data are damaged: %w", err)
	}
	if info := s.stream.Info; len(frame.Subframes) != s.Channels || frame.BitsPerSample != info.BitsPerSample {
		return out, audio.UnsupportedError(fmt.Sprintf("a FLAC file with blocks of %d channels of %d bits in a stream of %d of %d",
			len(frame.Subframes), frame.BitsPerSample, s.Channels, info.BitsPerSample))
	}
	n := len(frame.Subframes[0].Samples)
	for _, sub := range frame.Subframes {
		if len(sub.Samples) != n {
			return out, errors.New("the FLAC data are damaged: channels of different lengths")
		}
	}
	at := len(out)
	out = slices.Grow(out, n*s.Channels)[:at+n*s.Channels]
	for c, sub := range frame.Subframes {
		block := out[at+c:]
		for i, v := range sub.Samples {
			block[i*s.Channels] = float32(v) * s.scale
		}
	}
	return out, nil
}

// blockSizesEnd is where the sizes of the blocks end in the head of a stream.
const blockSizesEnd = 12

// allowShortBlocks makes the decoder take streams whose smallest block is smaller
// than 16 samples, which it refuses although only the last block is meant and
// some encoders write it so. The sizes stand at bytes 8 and 10; nothing else in
// the decoder hangs on them.
func allowShortBlocks(data []byte) []byte {
	const smallest, largest, least = 8, 10, 16
	if len(data) < blockSizesEnd {
		return data
	}
	be := binary.BigEndian
	if be.Uint16(data[smallest:]) >= least && be.Uint16(data[largest:]) >= least {
		return data
	}
	data = bytes.Clone(data)
	for _, at := range []int{smallest, largest} {
		be.PutUint16(data[at:], max(least, be.Uint16(data[at:])))
	}
	return data
}
