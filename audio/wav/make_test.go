package wav

import (
	"bytes"
	"encoding/binary"
	"math"
)

// The parts of a file, put together by hand so that reading is not tested with
// our own writer alone.

const frames = 1000

// sine is sample i of every file made here, and of those in testdata/cases/wav.
func sine(i int) float64 { return math.Sin(float64(i)*0.0613) * 0.9 }

func u16(v int) []byte { return binary.LittleEndian.AppendUint16(nil, uint16(v)) }
func u32(v int) []byte { return binary.LittleEndian.AppendUint32(nil, uint32(v)) }

func join(parts ...[]byte) []byte { return bytes.Join(parts, nil) }

// sized is a chunk that claims a size, without a pad byte.
func sized(name string, size int, body []byte) []byte { return join([]byte(name), u32(size), body) }

func padded(name string, body []byte) []byte {
	if len(body)%2 == 1 {
		return sized(name, len(body), append(bytes.Clone(body), 0))
	}
	return sized(name, len(body), body)
}

func fmtBody(tag, channels, rate, bits int) []byte {
	block := channels * ((bits + 7) / 8)
	return join(u16(tag), u16(channels), u32(rate), u32(rate*block), u16(block), u16(bits))
}

func format(tag, channels, rate, bits int) []byte {
	return padded("fmt ", fmtBody(tag, channels, rate, bits))
}

func extensible(tag, channels, rate, bits, valid int) []byte {
	guid := []byte{0, 0, 0, 0, 0x10, 0, 0x80, 0, 0, 0xaa, 0, 0x38, 0x9b, 0x71}
	return padded("fmt ", join(fmtBody(0xFFFE, channels, rate, bits), u16(22), u16(valid), u32(1<<channels-1), u16(tag), guid))
}

func riff(parts ...[]byte) []byte {
	body := join(parts...)
	return join([]byte("RIFF"), u32(4+len(body)), []byte("WAVE"), body)
}

func riffSized(size int, parts ...[]byte) []byte {
	file := riff(parts...)
	copy(file[4:], u32(size))
	return file
}

// pcm is n samples as whole numbers of a width.
func pcm(n, bits int) (out []byte) {
	for i := range n {
		v := int64(math.Round(sine(i) * float64(int64(1)<<(bits-1)-1)))
		if bits == 8 {
			v += 128
		}
		for k := range bits / 8 {
			out = append(out, byte(v>>(8*k)))
		}
	}
	return out
}

func floats32(n int) (out []byte) {
	for i := range n {
		out = binary.LittleEndian.AppendUint32(out, math.Float32bits(float32(sine(i))))
	}
	return out
}

func floats64(n int) (out []byte) {
	for i := range n {
		out = binary.LittleEndian.AppendUint64(out, math.Float64bits(sine(i)))
	}
	return out
}
