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
func decodeFLAC(data []byte) (clip Clip, err error) {
	// The decoder turns damage into errors. Should one kind of it be missed, this
	// is still no reason to stop a whole class.
	defer func() {
		if r := recover(); r != nil {
			clip, err = Clip{}, fmt.Errorf("the FLAC data are damaged (%v)", r)
		}
	}()
	stream, err := flac.New(bytes.NewReader(allowShortBlocks(data)))
	if err != nil {
		return Clip{}, fmt.Errorf("the head of the FLAC file is damaged: %w", err)
	}
	info := stream.Info
	clip = Clip{Rate: audio.Rate(info.SampleRate), Channels: int(info.NChannels)}
	declared := int64(info.NSamples) // of one channel; 0 where the encoder did not know
	if err := checkSize(declared, clip.Channels, clip.Rate); err != nil {
		return Clip{}, err
	}
	// What the head claims counts only as far as the bytes may bear it out.
	clip.Samples = make([]float32, 0, min(declared*int64(clip.Channels), 4*int64(len(data))))
	scale := 1 / float32(uint64(1)<<(info.BitsPerSample-1))
	for {
		frame, err := stream.ParseNext()
		if err == io.EOF {
			break
		}
		if err != nil {
			if len(clip.Samples) == 0 {
				return Clip{}, fmt.Errorf("the FLAC data are damaged: %w", err)
			}
			clip.warn("damaged after %v: the rest was left out (%v)", clip.length(), err)
			break
		}
		if len(frame.Subframes) != clip.Channels || frame.BitsPerSample != info.BitsPerSample {
			return Clip{}, foreign(fmt.Sprintf("a FLAC file with blocks of %d channels of %d bits in a stream of %d of %d",
				len(frame.Subframes), frame.BitsPerSample, clip.Channels, info.BitsPerSample))
		}
		n := len(frame.Subframes[0].Samples)
		for _, sub := range frame.Subframes {
			if len(sub.Samples) != n {
				return Clip{}, errors.New("the FLAC data are damaged: channels of different lengths")
			}
		}
		at := len(clip.Samples)
		clip.Samples = slices.Grow(clip.Samples, n*clip.Channels)[:at+n*clip.Channels]
		for c, sub := range frame.Subframes {
			out := clip.Samples[at+c:]
			for i, v := range sub.Samples {
				out[i*clip.Channels] = float32(v) * scale
			}
		}
		if err := checkSize(int64(len(clip.Samples)/clip.Channels), clip.Channels, clip.Rate); err != nil {
			return Clip{}, err
		}
	}
	if got := int64(len(clip.Samples) / clip.Channels); declared > 0 && got != declared {
		clip.warn("%d frames are there, the head of the file says %d", got, declared)
	}
	return clip, nil
}

// allowShortBlocks makes the decoder take streams whose smallest block is smaller
// than 16 samples, which it refuses although only the last block is meant and
// some encoders write it so. The sizes stand at bytes 8 and 10; nothing else in
// the decoder hangs on them.
func allowShortBlocks(data []byte) []byte {
	const smallest, largest, least = 8, 10, 16
	if len(data) < largest+2 {
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
