package wav

import (
	"cuewright/audio"
	"encoding/binary"
	"fmt"
	"math"
)

// Format tags of the fmt chunk.
const (
	tagPCM        = 1
	tagFloat      = 3
	tagALaw       = 6
	tagMuLaw      = 7
	tagExtensible = 0xFFFE
)

const maxChannels = 8

// encoding is how the samples of a file are written.
type encoding struct {
	channels int
	bytes    int // of one sample
	frame    int // bytes of one frame
	// decode turns raw bytes, whole samples, into linear samples. There are as
	// many in out as raw holds. It reports how many were no number
	// or beyond all sound, and are silence.
	decode func(out []float32, raw []byte) (broken int)
}

// newEncoding checks the fields of a fmt chunk. Samples of a width between two
// whole bytes stand at the upper end of the next wider one, so they need no
// treatment of their own.
func newEncoding(tag uint16, channels, bits, block int) (encoding, error) {
	e := encoding{channels: channels, bytes: (bits + 7) / 8}
	e.frame = channels * e.bytes
	// Packed samples, such as those of GSM or MP3, have no width and say so.
	if channels == 0 || bits == 0 && (tag == tagPCM || tag == tagFloat) || block == 0 {
		return e, FormatError(fmt.Sprintf("the fmt chunk is damaged: %d channels, %d bits, %d bytes a frame", channels, bits, block))
	}
	if channels > maxChannels {
		return e, audio.UnsupportedError(fmt.Sprintf("a WAV file of %d channels (up to %d can be read)", channels, maxChannels))
	}
	switch {
	case tag == tagPCM && e.bytes == 1:
		e.decode = decode8
	case tag == tagPCM && e.bytes == 2:
		e.decode = decode16
	case tag == tagPCM && e.bytes == 3:
		e.decode = decode24
	case tag == tagPCM && e.bytes == 4:
		e.decode = decode32
	case tag == tagFloat && bits == 32:
		e.decode = decodeFloat32
	case tag == tagFloat && bits == 64:
		e.decode = decodeFloat64
	case tag == tagALaw && bits == 8:
		e.decode = func(out []float32, raw []byte) int { return lookUp(out, raw, &aLaw) }
	case tag == tagMuLaw && bits == 8:
		e.decode = func(out []float32, raw []byte) int { return lookUp(out, raw, &muLaw) }
	default:
		return e, audio.UnsupportedError(fmt.Sprintf("a WAV file with samples of format %#x, %d bits", tag, bits))
	}
	if block != e.frame {
		return e, audio.UnsupportedError(fmt.Sprintf("a WAV file with %d bytes a frame for %d channels of %d bits", block, channels, bits))
	}
	return e, nil
}

func decode8(out []float32, raw []byte) int {
	for i, b := range raw {
		out[i] = float32(int(b)-128) / (1 << 7)
	}
	return 0
}

func decode16(out []float32, raw []byte) int {
	for i := range out[:len(raw)/2] {
		out[i] = float32(int16(binary.LittleEndian.Uint16(raw[2*i:]))) / (1 << 15)
	}
	return 0
}

func decode24(out []float32, raw []byte) int {
	for i := range out[:len(raw)/3] {
		b := raw[3*i : 3*i+3]
		v := int32(uint32(b[0])<<8|uint32(b[1])<<16|uint32(b[2])<<24) >> 8
		out[i] = float32(v) / (1 << 23)
	}
	return 0
}

func decode32(out []float32, raw []byte) int {
	for i := range out[:len(raw)/4] {
		out[i] = float32(int32(binary.LittleEndian.Uint32(raw[4*i:]))) / (1 << 31)
	}
	return 0
}

func decodeFloat32(out []float32, raw []byte) (broken int) {
	for i := range out[:len(raw)/4] {
		v := math.Float32frombits(binary.LittleEndian.Uint32(raw[4*i:]))
		if !isSound(v) {
			v = 0
			broken++
		}
		out[i] = v
	}
	return broken
}

// isSound is false for what is not a number or so large that sums of it may be
// none: more than 144 dB over full scale.
func isSound(v float32) bool { return v >= -1<<24 && v <= 1<<24 }

func decodeFloat64(out []float32, raw []byte) (broken int) {
	for i := range out[:len(raw)/8] {
		v := float32(math.Float64frombits(binary.LittleEndian.Uint64(raw[8*i:])))
		if !isSound(v) {
			v = 0
			broken++
		}
		out[i] = v
	}
	return broken
}

func lookUp(out []float32, raw []byte, table *[256]float32) int {
	for i, b := range raw {
		out[i] = table[b]
	}
	return 0
}

// aLaw and muLaw are the tables of Recommendation ITU-T G.711, full scale being
// 4096 and 8192 of its units.
var aLaw, muLaw [256]float32

func init() {
	for i := range 256 {
		code := byte(i) ^ 0x55
		exponent, mantissa := code>>4&7, int(code&15)
		v := 2*mantissa + 1
		if exponent > 0 {
			v = (v + 32) << (exponent - 1)
		}
		if code&0x80 == 0 {
			v = -v
		}
		aLaw[i] = float32(v) / 4096

		code = ^byte(i)
		exponent, mantissa = code>>4&7, int(code&15)
		v = (2*mantissa+33)<<exponent - 33
		if code&0x80 != 0 {
			v = -v
		}
		muLaw[i] = float32(v) / 8192
	}
}
