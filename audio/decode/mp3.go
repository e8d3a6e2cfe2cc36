package decode

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"

	"github.com/hajimehoshi/go-mp3"

	"cuewright/audio"
)

// decoderDelay is by how much a decoder of layer III lags: 528 samples of its
// filter banks, and one more as encoders count it.
const decoderDelay = 529

// decodeMPEG decodes data, which begin with a frame like first.
func decodeMPEG(data []byte, first mpegHeader) (Clip, error) {
	if err := readable(first); err != nil {
		return Clip{}, err
	}
	f, err := walkFrames(data, first)
	if err != nil {
		return Clip{}, err
	}
	tag := f.takeTag()
	if len(f.starts) == 0 {
		return Clip{}, errors.New("no whole MP3 frame is in the file")
	}
	clip := Clip{Rate: audio.Rate(first.rate), Channels: f.channels()}
	feed, silenced, err := f.repair()
	if err != nil {
		return Clip{}, err
	}
	if err := clip.runDecoder(feed, len(f.starts)*first.samples()); err != nil {
		return Clip{}, err
	}
	clip.report(f, tag, silenced)
	clip.trim(f, tag)
	return clip, nil
}

// channels is 1 if every frame is mono.
func (f *frames) channels() int {
	for i := range f.starts {
		if h, _ := f.at(i); h.channels() == 2 {
			return 2
		}
	}
	return 1
}

// infoTag is what an encoder left about itself in a first frame without sound.
type infoTag struct {
	frames         int // of sound; 0 where it does not say
	known          bool
	delay, padding int // samples added before and behind, if known
}

// takeTag removes the first frame if it only carries a tag ("Xing" or "Info", in
// the place where the main data would begin; or "VBRI"), and reads it. The layout
// is that of LAME's tag, revision 1.
func (f *frames) takeTag() (tag infoTag) {
	if len(f.starts) == 0 {
		return tag
	}
	h, frame := f.at(0)
	at := headerLen + h.sideLen() // with a CRC as well
	if len(frame) < at+8 {
		return tag
	}
	if vbri := headerLen + 32; len(frame) >= vbri+4 && string(frame[vbri:vbri+4]) == "VBRI" {
		f.starts = f.starts[1:]
		return tag
	}
	if name := string(frame[at : at+4]); name != "Xing" && name != "Info" {
		return tag
	}
	f.starts = f.starts[1:]
	flags := frame[at+7]
	body := frame[at+8:]
	for _, field := range []struct {
		bit  byte
		size int
	}{{1, 4}, {2, 4}, {4, 100}, {8, 4}} { // frames, bytes, a table for seeking, quality
		if flags&field.bit == 0 {
			continue
		}
		if len(body) < field.size {
			return tag
		}
		if field.bit == 1 {
			tag.frames = int(binary.BigEndian.Uint32(body))
		}
		body = body[field.size:]
	}
	const delaysAt = 21 // in what the encoder adds: 12 bits of delay, 12 of padding
	if len(body) < delaysAt+3 {
		return tag
	}
	switch string(body[:4]) {
	case "LAME", "Lavc", "Lavf":
		tag.known = true
		tag.delay = int(body[delaysAt])<<4 | int(body[delaysAt+1])>>4
		tag.padding = int(body[delaysAt+1]&15)<<8 | int(body[delaysAt+2])
	}
	return tag
}

// runDecoder decodes a clean stream of frames that hold samples of each channel.
func (c *Clip) runDecoder(feed []byte, samples int) (err error) {
	// The decoder runs out of its tables on some damaged streams.
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("the MP3 data are damaged (%v)", r)
		}
	}()
	// A reader that cannot seek keeps the decoder from reading everything twice.
	decoder, err := mp3.NewDecoder(struct{ io.Reader }{bytes.NewReader(feed)})
	if err != nil {
		return fmt.Errorf("the MP3 data are damaged: %w", err)
	}
	// It always gives 16 bits of stereo, a mono stream twice.
	const frameLen, scale = 4, 1 << 15
	c.Samples = make([]float32, 0, samples*c.Channels)
	raw := make([]byte, 1152*frameLen)
	for {
		n, err := io.ReadFull(decoder, raw)
		for b := raw[:n]; len(b) >= frameLen; b = b[frameLen:] {
			c.Samples = append(c.Samples, float32(int16(binary.LittleEndian.Uint16(b)))/scale)
			if c.Channels == 2 {
				c.Samples = append(c.Samples, float32(int16(binary.LittleEndian.Uint16(b[2:])))/scale)
			}
		}
		switch {
		case err == io.EOF || err == io.ErrUnexpectedEOF:
			if got := len(c.Samples) / c.Channels; got != samples {
				return fmt.Errorf("the MP3 data are damaged: %d of %d samples came out", got, samples)
			}
			return nil
		case err != nil:
			return fmt.Errorf("the MP3 data are damaged after %v: %w", c.length(), err)
		}
	}
}

// report says what was wrong with the stream.
func (c *Clip) report(f *frames, tag infoTag, silenced int) {
	if tag.frames > 0 && tag.frames != len(f.starts) {
		c.warn("%d MP3 frames are there, the tag of the file counts %d: cut off or damaged", len(f.starts), tag.frames)
	}
	if f.lost > 0 {
		c.warn("damaged: bytes that belong to no MP3 frame (%d): what follows them comes too early", f.lost)
	}
	if f.cut {
		c.warn("cut off inside the last MP3 frame")
	}
	if silenced > 0 {
		c.warn("cut at the start or damaged: MP3 frames that lack their data are silent (%d)", silenced)
	}
	if f.first.version == 2 {
		for i := range f.starts {
			if h, _ := f.at(i); h.joint != 0 {
				c.warn("joint stereo at %d Hz is decoded with small errors: mono or WAV is safer", h.rate)
				break
			}
		}
	}
}

// trim cuts off what encoder and decoder added at both ends, where the encoder
// left word of it.
func (c *Clip) trim(f *frames, tag infoTag) {
	if !tag.known {
		return
	}
	from, to := tag.delay+decoderDelay, len(c.Samples)/c.Channels
	if tag.frames == len(f.starts) || tag.frames == 0 {
		to = min(to, from+to-tag.delay-tag.padding)
	}
	if from < to {
		c.Samples = c.Samples[from*c.Channels : to*c.Channels]
	}
}
