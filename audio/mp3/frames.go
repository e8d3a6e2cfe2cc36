package mp3

import (
	"encoding/binary"
	"fmt"

	"cuewright/audio"
)

// Find finds the first frame of MPEG audio, of any layer, within the first bytes of
// data, behind the tags. A lone frame and free format are believed only at the very
// beginning.
func Find(data []byte) (start int, ok bool) {
	start, _, ok = find(data)
	return start, ok
}

// find is Find with the header that was found.
func find(data []byte) (start int, first header, ok bool) {
	const within = 64 << 10
	for i := range data[:min(within, len(data))] {
		h, ok := parseHeader(data[i:])
		if !ok || h.kbits == 0 && i > 0 {
			continue
		}
		if found, ok := h.follows(data[i:]); ok && (found > 0 || i == 0) {
			return i, h, true
		}
	}
	return 0, first, false
}

// frames is the stream of layer III frames in a file, without anything between.
type frames struct {
	data   []byte
	first  header
	starts []int
	lost   int  // bytes between frames that belong to none
	cut    bool // the last frame is not whole and was left out
}

// at is frame i and its header.
func (f *frames) at(i int) (header, []byte) {
	h, _ := parseHeader(f.data[f.starts[i]:])
	return h, f.data[f.starts[i]:][:h.size()]
}

// walkFrames collects the frames of data, which begin with a frame like first.
// Where a header is not where it should be, it goes on at the next frames.
func walkFrames(data []byte, first header) (*frames, error) {
	f := &frames{data: data, first: first}
	most := int(audio.MaxClipLength.Seconds())*first.rate/first.samples() + 2
	for pos := 0; pos < len(data); {
		h, ok := parseHeader(data[pos:])
		if ok && first.like(h) {
			if pos+h.size() > len(data) {
				f.cut = true
				break
			}
			if len(f.starts) == most {
				return nil, audio.ErrTooLong
			}
			f.starts = append(f.starts, pos)
			pos += h.size()
			continue
		}
		rest := data[pos:]
		if n := TagsLen(rest); n > 0 {
			pos += n
			continue
		}
		if isTrailer(rest) {
			break
		}
		if len(rest) < headerLen {
			f.cut = true
			break
		}
		skip, h, ok := find(rest)
		if !ok {
			f.lost += len(rest)
			break
		}
		if !first.like(h) {
			return nil, fmt.Errorf("the MP3 stream changes its kind inside the file (%d Hz, then %d Hz)", first.rate, h.rate)
		}
		f.lost += skip
		pos += skip
	}
	return f, nil
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
