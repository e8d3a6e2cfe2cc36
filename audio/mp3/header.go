package mp3

// header is the 4-byte header of an MPEG audio frame (ISO/IEC 11172-3 section
// 2.4.1.3 and 13818-3 section 2.4.1), as far as it is needed.
type header struct {
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
func parseHeader(b []byte) (h header, ok bool) {
	if len(b) < headerLen || b[0] != 0xFF || b[1]&0xE0 != 0xE0 {
		return h, false
	}
	version, layer := b[1]>>3&3, b[1]>>1&3
	kbits, rate := b[2]>>4, b[2]>>2&3
	const reservedEmphasis = 2
	if version == 1 || layer == 0 || kbits == 15 || rate == 3 || b[3]&3 == reservedEmphasis {
		return h, false
	}
	h = header{
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
func (h header) size() int {
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
func (h header) samples() int {
	if h.version == 1 {
		return 1152
	}
	return 576
}

func (h header) channels() int {
	if h.mode == 3 {
		return 1
	}
	return 2
}

// sideLen is the bytes of the side information of layer III.
func (h header) sideLen() int {
	switch {
	case h.version == 1 && h.channels() == 2:
		return 32
	case h.version == 1 || h.channels() == 2:
		return 17
	}
	return 9
}

// bodyAt is where, in a frame of layer III, the side information begins.
func (h header) bodyAt() int {
	if h.crc {
		return headerLen + 2
	}
	return headerLen
}

// like reports whether both headers can stand in one stream.
func (h header) like(o header) bool {
	return h.version == o.version && h.layer == o.layer && h.rate == o.rate && (h.kbits == 0) == (o.kbits == 0)
}

// follows reports whether a frame at the beginning of data is followed by others
// like it, up to three, or by the end of the data. found is how many there are.
func (h header) follows(data []byte) (found int, ok bool) {
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
func (h header) followsFree(data []byte) (found int, ok bool) {
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
