package mp3

import (
	"cuewright/audio"
	"fmt"
)

// Frames of layer III do not hold their own sound alone. The bits of a frame, its
// main data, may begin up to 511 bytes (255 in MPEG-2) before it, in room that
// frames before it left over: the reservoir. Taken together the main data are one
// stream of bytes, into which each frame points back from its own place.

// repair puts the frames of f one after the other for the decoder, with two of its
// faults worked around. silenced counts the frames whose main data are not there.
//
//   - It decodes a frame that points back to what it has not seen as if that did
//     not matter, which sounds as noise: such frames are made silent.
//   - It forgets the padding byte of MPEG-2 frames at some bit rates, and from then
//     on reads nothing but noise: such streams are packed anew without padding.
func (f *frames) repair() (feed []byte, silenced int, err error) {
	for i := range f.starts {
		if h, _ := f.at(i); decoderSize(h) != h.size() {
			return f.repack()
		}
	}
	reservoir := 0
	for i := range f.starts {
		h, frame := f.at(i)
		begin := len(feed)
		feed = append(feed, frame...)
		side := feed[begin+h.bodyAt():][:h.sideLen()]
		back := pointsBack(h, side)
		if back > reservoir {
			clear(side)
			silenced++
			// What is there is still needed: the frames that follow point back to it.
			back = reservoir
			pointBack(h, side, back)
		}
		// The decoder keeps, of what came before, only what a frame pointed to.
		reservoir = back + max(0, h.size()-h.bodyAt()-h.sideLen())
	}
	return feed, silenced, nil
}

// decoderSize is the size that the decoder takes a frame to have.
func decoderSize(h header) int {
	if h.version == 1 {
		return h.size()
	}
	return (144000*h.kbits/h.rate + h.padding) / 2
}

// pointsBack is how many bytes before its own the main data of a frame begin.
func pointsBack(h header, side []byte) int {
	if h.version == 1 {
		return int(side[0])<<1 | int(side[1])>>7
	}
	return int(side[0])
}

// pointBack makes empty side information point that far back.
func pointBack(h header, side []byte, back int) {
	if h.version == 1 {
		side[0], side[1] = byte(back>>1), byte(back<<7)
		return
	}
	side[0] = byte(back)
}

// mainLen is the bytes of main data that an MPEG-2 frame uses, from the lengths in
// its side information: 12 bits for each channel, at the head of its 63 bits.
func mainLen(h header, side []byte) int {
	const backBits, channelBits = 8, 63
	at := backBits + h.channels() // as many private bits
	total := 0
	for range h.channels() {
		length := 0
		for bit := at; bit < at+12; bit++ {
			length = length<<1 | int(side[bit/8]>>(7-bit%8))&1
		}
		total += length
		at += channelBits
	}
	return (total + 7) / 8
}

// repack writes an MPEG-2 stream anew in frames of the highest bit rate, none of
// which is padded. The main data are laid as early as the reservoir lets them, so
// that there is room even for a stream of that very bit rate, but for one that
// also used every padding byte.
func (f *frames) repack() (feed []byte, silenced int, err error) {
	const highest, furthest = 14, 255
	var old, main []byte // main data as they are in the file, and laid anew
	var heads [][]byte   // header and side information of the new frames
	room := 0            // main data that the new frames hold so far
	var sizes []int
	for i := range f.starts {
		h, frame := f.at(i)
		head := append([]byte{}, frame[:headerLen]...)
		head[1] |= 1                        // no CRC
		head[2] = highest<<4 | head[2]&0x0D // no padding
		head = append(head, frame[h.bodyAt():][:h.sideLen()]...)
		side := head[headerLen:]

		begin := len(old) - pointsBack(h, side)
		old = append(old, frame[min(len(frame), h.bodyAt()+h.sideLen()):]...)
		length := mainLen(h, side)
		if begin < 0 || begin+length > len(old) {
			clear(side)
			begin, length = 0, 0
			silenced++
		}
		if gap := room - furthest - len(main); gap > 0 {
			main = append(main, make([]byte, gap)...)
		}
		if length == 0 && len(main) < room {
			main = append(main, make([]byte, room-len(main))...)
		}
		side[0] = byte(max(0, room-len(main)))
		main = append(main, old[begin:begin+length]...)

		packed, _ := parseHeader(head)
		room += packed.size() - len(head)
		sizes = append(sizes, packed.size()-len(head))
		if len(main) > room {
			return nil, 0, audio.UnsupportedError(fmt.Sprintf("MP3 of %d Hz at %d kbit/s", h.rate, h.kbits))
		}
		heads = append(heads, head)
	}
	main = append(main, make([]byte, room-len(main))...)
	for i, head := range heads {
		feed = append(append(feed, head...), main[:sizes[i]]...)
		main = main[sizes[i]:]
	}
	return feed, silenced, nil
}
