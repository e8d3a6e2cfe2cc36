package decode

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

// decodeFLAC decodes a FLAC stream, which begins with its four letters.
func decodeFLAC(data []byte) (Clip, error) {
	f, err := openFLAC(bytes.NewReader(data))
	if err != nil {
		return Clip{}, err
	}
	clip := Clip{Rate: f.rate, Channels: f.channels}
	if err := checkSize(f.declared, clip.Channels, clip.Rate); err != nil {
		return Clip{}, err
	}
	// What the head claims counts only as far as the bytes may bear it out.
	clip.Samples = make([]float32, 0, min(f.declared*int64(clip.Channels), 4*int64(len(data))))
	for {
		samples, err := f.next(clip.Samples)
		var unread foreign
		switch {
		case err == io.EOF:
			if got := int64(len(clip.Samples) / clip.Channels); f.declared > 0 && got != f.declared {
				clip.warn("%d frames are there, the head of the file says %d", got, f.declared)
			}
			return clip, nil
		case errors.As(err, &unread) || err != nil && len(clip.Samples) == 0:
			return Clip{}, err
		case errors.Is(err, io.ErrUnexpectedEOF):
			clip.warn("cut off after %v", clip.length())
			return clip, nil
		case err != nil:
			clip.warn("damaged after %v: the rest was left out (%v)", clip.length(), err)
			return clip, nil
		}
		clip.Samples = samples
		if err := checkSize(int64(len(clip.Samples)/clip.Channels), clip.Channels, clip.Rate); err != nil {
			return Clip{}, err
		}
	}
}

// A flacStream reads a FLAC stream block by block.
type flacStream struct {
	stream   *flac.Stream
	rate     audio.Rate
	channels int
	declared int64 // samples of one channel; 0 where the encoder did not know
	scale    float32
}

// openFLAC reads the head of a stream.
func openFLAC(r io.Reader) (f *flacStream, err error) {
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
	return &flacStream{stream, audio.Rate(info.SampleRate), int(info.NChannels), int64(info.NSamples), 1 / float32(uint64(1)<<(info.BitsPerSample-1))}, nil
}

// damaged turns a panic of the decoder into an error. It turns damage into errors
// itself; should one kind of it be missed, this is still no reason to stop a class.
func damaged(err *error) {
	if r := recover(); r != nil {
		*err = fmt.Errorf("the FLAC data are damaged (%v)", r)
	}
}

// next appends the samples of the next block, interleaved; io.EOF ends the stream.
func (f *flacStream) next(out []float32) (_ []float32, err error) {
	defer damaged(&err)
	frame, err := f.stream.ParseNext()
	if err == io.EOF {
		return out, err
	}
	if err != nil {
		return out, fmt.Errorf("the FLAC data are damaged: %w", err)
	}
	if info := f.stream.Info; len(frame.Subframes) != f.channels || frame.BitsPerSample != info.BitsPerSample {
		return out, foreign(fmt.Sprintf("a FLAC file with blocks of %d channels of %d bits in a stream of %d of %d",
			len(frame.Subframes), frame.BitsPerSample, f.channels, info.BitsPerSample))
	}
	n := len(frame.Subframes[0].Samples)
	for _, sub := range frame.Subframes {
		if len(sub.Samples) != n {
			return out, errors.New("the FLAC data are damaged: channels of different lengths")
		}
	}
	at := len(out)
	out = slices.Grow(out, n*f.channels)[:at+n*f.channels]
	for c, sub := range frame.Subframes {
		block := out[at+c:]
		for i, v := range sub.Samples {
			block[i*f.channels] = float32(v) * f.scale
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
