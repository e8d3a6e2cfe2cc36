package voice

import (
	"encoding/binary"
	"math"
	"math/rand/v2"
	"testing/fstest"

	"cuewright/audio"
	"cuewright/audio/speech/speechtest"
)

// wavOf writes 32-bit float samples as a WAV file of some channels.
func wavOf(rate audio.Rate, channels ...[]float64) []byte {
	frames, n := len(channels[0]), len(channels)
	size := 4 * frames * n
	le := binary.LittleEndian
	b := append([]byte("RIFF"), le.AppendUint32(nil, uint32(36+size))...)
	b = append(b, "WAVEfmt "...)
	b = le.AppendUint32(b, 16)
	b = le.AppendUint16(b, 3)
	b = le.AppendUint16(b, uint16(n))
	b = le.AppendUint32(b, uint32(rate))
	b = le.AppendUint32(b, uint32(int(rate)*n*4))
	b = le.AppendUint16(b, uint16(n*4))
	b = le.AppendUint16(b, 32)
	b = append(b, "data"...)
	b = le.AppendUint32(b, uint32(size))
	for i := range frames {
		for _, c := range channels {
			b = le.AppendUint32(b, math.Float32bits(float32(c[i])))
		}
	}
	return b
}

// folder is a voice with a recording of every word in names, in clean silence.
func folder(rate audio.Rate, names ...string) fstest.MapFS {
	out := fstest.MapFS{}
	for i, name := range names {
		rng := rand.New(rand.NewPCG(uint64(i), 7))
		w := speechtest.Say(rate, 110+10*float64(i%5), rng, speechtest.Words[speechtest.Shapes[i%len(speechtest.Shapes)]]...)
		out[name] = &fstest.MapFile{Data: wavOf(rate, w.Padded(0.2, 0.25))}
	}
	return out
}
