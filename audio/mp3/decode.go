package mp3

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	gomp3 "github.com/hajimehoshi/go-mp3"

	"cuewright/audio"
)

// decoderDelay is by how much a decoder of layer III lags: 528 samples of its
// filter banks, and one more as encoders count it.
const decoderDelay = 529

// Decode reads a whole recording, which begins with a frame, as [Find] finds it. The
// error is an [audio.UnsupportedError] for MPEG audio that is not read here.
func Decode(data []byte) (audio.Clip, error) {
	first, err := readable(data)
	if err != nil {
		return audio.Clip{}, err
	}
	f, err := walkFrames(data, first)
	if err != nil {
		return audio.Clip{}, err
	}
	tag := f.takeTag()
	if len(f.starts) == 0 {
		return audio.Clip{}, errNoFrame
	}
	feed, silenced, err := f.repair()
	if err != nil {
		return audio.Clip{}, err
	}
	clip := audio.Clip{Rate: audio.Rate(first.rate), Channels: f.channels()}
	if clip.Samples, err = runDecoder(feed, clip.Rate, clip.Channels, len(f.starts)*first.samples()); err != nil {
		return audio.Clip{}, err
	}
	report(&clip, f, tag, silenced)
	trim(&clip, f, tag)
	return clip, nil
}

var errNoFrame = errors.New("no whole MP3 frame is in the file")

// readable is the header of a stream's first frame, or an error for the kinds of MPEG
// audio that are not decoded here.
func readable(data []byte) (header, error) {
	first, ok := parseHeader(data)
	switch {
	case !ok:
		return first, errNoFrame
	case first.layer != 3:
		return first, audio.UnsupportedError("MPEG audio of layer " + strings.Repeat("I", first.layer))
	case first.version == 25:
		return first, audio.UnsupportedError(fmt.Sprintf("MP3 of %d Hz (MPEG-2.5)", first.rate))
	case first.kbits == 0:
		return first, audio.UnsupportedError("MP3 in free format")
	}
	return first, nil
}

// runDecoder decodes a clean stream of frames that hold samples of each channel.
func runDecoder(feed []byte, rate audio.Rate, channels, samples int) (out []float32, err error) {
	// The decoder runs out of its tables on some damaged streams.
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("the MP3 data are damaged (%v)", r)
		}
	}()
	// A reader that cannot seek keeps the decoder from reading everything twice.
	decoder, err := gomp3.NewDecoder(struct{ io.Reader }{bytes.NewReader(feed)})
	if err != nil {
		return nil, fmt.Errorf("the MP3 data are damaged: %w", err)
	}
	// It always gives 16 bits of stereo, a mono stream twice.
	const frameLen, scale = 4, 1 << 15
	out = make([]float32, 0, samples*channels)
	raw := make([]byte, 1152*frameLen)
	for {
		n, err := io.ReadFull(decoder, raw)
		for b := raw[:n]; len(b) >= frameLen; b = b[frameLen:] {
			out = append(out, float32(int16(binary.LittleEndian.Uint16(b)))/scale)
			if channels == 2 {
				out = append(out, float32(int16(binary.LittleEndian.Uint16(b[2:])))/scale)
			}
		}
		switch got := len(out) / channels; {
		case err == io.EOF || err == io.ErrUnexpectedEOF:
			if got != samples {
				return nil, fmt.Errorf("the MP3 data are damaged: %d of %d samples came out", got, samples)
			}
			return out, nil
		case err != nil:
			return nil, fmt.Errorf("the MP3 data are damaged after %v: %w", rate.Length(int64(got)).Round(time.Millisecond), err)
		}
	}
}

// report says what was wrong with the stream.
func report(c *audio.Clip, f *frames, tag infoTag, silenced int) {
	if tag.frames > 0 && tag.frames != len(f.starts) {
		c.Warn("%d MP3 frames are there, the tag of the file counts %d: cut off or damaged", len(f.starts), tag.frames)
	}
	if f.lost > 0 {
		c.Warn("damaged: bytes that belong to no MP3 frame (%d): what follows them comes too early", f.lost)
	}
	if f.cut {
		c.Warn("cut off inside the last MP3 frame")
	}
	if silenced > 0 {
		c.Warn("cut at the start or damaged: MP3 frames that lack their data are silent (%d)", silenced)
	}
	if f.first.version == 2 {
		for i := range f.starts {
			if h, _ := f.at(i); h.joint != 0 {
				c.Warn("joint stereo at %d Hz is decoded with small errors: mono or WAV is safer", h.rate)
				break
			}
		}
	}
}

// trim cuts off what encoder and decoder added at both ends, where the encoder
// left word of it.
func trim(c *audio.Clip, f *frames, tag infoTag) {
	if !tag.known {
		return
	}
	from, to := tag.delay+decoderDelay, int(c.Frames())
	if tag.frames == len(f.starts) || tag.frames == 0 {
		to = min(to, from+to-tag.delay-tag.padding)
	}
	if from < to {
		c.Samples = c.Samples[from*c.Channels : to*c.Channels]
	}
}
