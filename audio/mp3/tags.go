package mp3

import "bytes"

// TagsLen is the length of all ID3v2 tags at the beginning of data.
func TagsLen(data []byte) int {
	at := 0
	for {
		size := TagLen(data[at:], int64(len(data)-at))
		if size == 0 {
			return at
		}
		at += int(size)
	}
}

// TagLen is the length of the ID3v2 tag at the beginning of head, with which the last
// left bytes of a file begin; 0 where there is none. A tag that claims more than is
// left counts with its own head alone, since what follows may still be sound.
func TagLen(head []byte, left int64) int64 {
	const headLen, footer = 10, 0x10
	if len(head) < headLen || string(head[:3]) != "ID3" {
		return 0
	}
	// Four bytes of seven bits each.
	size := headLen + (int64(head[6]&0x7F)<<21 | int64(head[7]&0x7F)<<14 | int64(head[8]&0x7F)<<7 | int64(head[9]&0x7F))
	if head[5]&footer != 0 {
		size += headLen
	}
	if size > left {
		return headLen
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
