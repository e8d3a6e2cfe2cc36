package decode

import (
	"bytes"
	"fmt"
)

// mpegHeader is the 4-byte header of an MPEG audio frame (ISO/IEC 11172-3 section
// 2.4.1.3 and 13818-3 section 2.4.1), as far as it is needed.
type mpegHeader struct {
	version int // 1, 2, or 25 for what is called MPEG-2.5
	layer   int // 1, 2 or 3
	kbits   int // a second; 0 in free format
	rate    int // frames of sound a second
	padding int // bytes
	crc     bool
	mode    int // 0 stereo, 1 joint stereo, 2 two channels, 3 one channel
	joint   int // how channels are joined in mode 1: 1 intensity, 2 middle and side
}

const headerLen = 4

// kbitTable holds bit rates by MPEG-1 or later, layer and index.
var kbitTable = [2][3][15]int{
	{
		{0, 32, 64, 96, 128, 160, 192, 224, 256, 288, 320, 352, 384, 416, 448},
		{0, 32, 48, 56, 64, 80, 96, 112, 128, 160, 192, 224, 256, 320, 384},
		{0, 32, 40, 48, 56, 64, 80, 96, 112, 128, 160, 192, 224, 256, 320},
	}, {
		{0, 32, 48, 56, 64, 80, 96, 112, 128, 144, 160, 176, 192, 224, 256},
		{0, 8, 16, 24, 32, 40, 48, 56, 64, 80, 96, 112, 128, 144, 160},
		{0, 8, 16, 24, 32, 40, 48, 56, 64, 80, 96, 112, 128, 144, 160},
	},
}

// parseHeader reads a header at the beginning of b.
func parseHeader(b []byte) (h mpegHeader, ok bool) {
	if len(b) < headerLen || b[0] != 0xFF || b[1]&0xE0 != 0xE0 {
		return h, false
	}
	version, layer := b[1]>>3&3, b[1]>>1&3
	kbits, rate := b[2]>>4, b[2]>>2&3
	const reservedEmphasis = 2
	if version == 1 || layer == 0 || kbits == 15 || rate == 3 || b[3]&3 == reservedEmphasis {
		return h, false
	}
	h = mpegHeader{
		version: [4]int{25, 0, 2, 1}[version],
		layer:   int(4 - layer),
		rate:    [3]int{44100, 48000, 32000}[rate] >> [4]int{2, 0, 1, 0}[version],
		padding: int(b[2] >> 1 & 1),
		crc:     b[1]&1 == 0,
		mode:    int(b[3] >> 6),
	}
	if h.mode == 1 {
		h.joint = int(b[3] >> 4 & 3)
	}
	later := 0
	if h.version != 1 {
		later = 1
	}
	h.kbits = kbitTable[later][h.layer-1][kbits]
	return h, true
}

// size is the bytes of the frame with its header, 0 in free format.
func (h mpegHeader) size() int {
	switch {
	case h.kbits == 0:
		return 0
	case h.layer == 1:
		return 4 * (12000*h.kbits/h.rate + h.padding)
	case h.layer == 3 && h.version != 1:
		return 72000*h.kbits/h.rate + h.padding
	}
	return 144000*h.kbits/h.rate + h.padding
}

// samples is the length of a frame of layer III in samples of each channel.
func (h mpegHeader) samples() int {
	if h.version == 1 {
		return 1152
	}
	return 576
}

func (h mpegHeader) channels() int {
	if h.mode == 3 {
		return 1
	}
	return 2
}

// sideLen is the bytes of the side information of layer III.
func (h mpegHeader) sideLen() int {
	switch {
	case h.version == 1 && h.channels() == 2:
		return 32
	case h.version == 1 || h.channels() == 2:
		return 17
	}
	return 9
}

// bodyAt is where, in a frame of layer III, the side information begins.
func (h mpegHeader) bodyAt() int {
	if h.crc {
		return headerLen + 2
	}
	return headerLen
}

// like reports whether both headers can stand in one stream.
func (h mpegHeader) like(o mpegHeader) bool {
	return h.version == o.version && h.layer == o.layer && h.rate == o.rate && (h.kbits == 0) == (o.kbits == 0)
}

// follows reports whether a frame at the beginning of data is followed by others
// like it, up to three, or by the end of the data. found is how many there are.
func (h mpegHeader) follows(data []byte) (found int, ok bool) {
	const enough = 3
	size := h.size()
	if size == 0 {
		return h.followsFree(data)
	}
	for found < enough {
		if size >= len(data) {
			return found, true
		}
		data = data[size:]
		next, ok := parseHeader(data)
		if !ok || !h.like(next) {
			return found, isTrailer(data)
		}
		size = next.size()
		found++
	}
	return found, true
}

// followsFree looks for two more frames at one distance, which in free format is
// the only way to know the size.
func (h mpegHeader) followsFree(data []byte) (found int, ok bool) {
	const longest = 8 << 10
	same := func(at int) bool {
		next, ok := parseHeader(data[min(at, len(data)):])
		return ok && h.like(next)
	}
	for size := headerLen + h.sideLen(); size < min(longest, len(data)); size++ {
		if same(size) && (same(2*size) || same(2*size+1) || same(2*size-1)) {
			return 2, true
		}
	}
	return 0, false
}

// tagsLen is the length of all ID3v2 tags at the beginning of data. A tag that
// claims more than there is counts with its head alone, since what follows may
// still be sound.
func tagsLen(data []byte) int {
	at := 0
	for {
		size := tagLen(data[at:])
		if size == 0 {
			return at
		}
		if size > len(data)-at {
			size = tagHead
		}
		at += size
	}
}

const tagHead = 10

// tagLen is the length that an ID3v2 tag at the beginning of data claims to have; 0
// where there is none.
func tagLen(tag []byte) int {
	const footer = 0x10
	if len(tag) < tagHead || string(tag[:3]) != "ID3" {
		return 0
	}
	// Four bytes of seven bits each.
	size := tagHead + (int(tag[6]&0x7F)<<21 | int(tag[7]&0x7F)<<14 | int(tag[8]&0x7F)<<7 | int(tag[9]&0x7F))
	if tag[5]&footer != 0 {
		size += tagHead
	}
	return size
}

// isTrailer reports whether data are a tag that stands behind the sound, or
// nothing but zeros.
func isTrailer(data []byte) bool {
	for _, magic := range []string{"TAG", "APETAGEX", "LYRICSBEGIN"} {
		if bytes.HasPrefix(data, []byte(magic)) {
			return true
		}
	}
	return len(bytes.Trim(data, "\x00")) == 0
}

// findMPEG finds the first frame of MPEG audio within the first bytes of data. A
// lone frame and free format are believed only at the very beginning.
func findMPEG(data []byte) (start int, first mpegHeader, ok bool) {
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
	first  mpegHeader
	starts []int
	lost   int  // bytes between frames that belong to none
	cut    bool // the last frame is not whole and was left out
}

// at is frame i and its header.
func (f *frames) at(i int) (mpegHeader, []byte) {
	h, _ := parseHeader(f.data[f.starts[i]:])
	return h, f.data[f.starts[i]:][:h.size()]
}

// walkFrames collects the frames of data, which begin with a frame like first.
// Where a header is not where it should be, it goes on at the next frames.
func walkFrames(data []byte, first mpegHeader) (*frames, error) {
	f := &frames{data: data, first: first}
	most := int(MaxLength.Seconds())*first.rate/first.samples() + 2
	for pos := 0; pos < len(data); {
		h, ok := parseHeader(data[pos:])
		if ok && first.like(h) {
			if pos+h.size() > len(data) {
				f.cut = true
				break
			}
			if len(f.starts) == most {
				return nil, fmt.Errorf("longer than %v: a recording is one phrase", MaxLength)
			}
			f.starts = append(f.starts, pos)
			pos += h.size()
			continue
		}
		rest := data[pos:]
		if n := tagsLen(rest); n > 0 {
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
		skip, h, ok := findMPEG(rest)
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
