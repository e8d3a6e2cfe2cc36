package decode

import (
	"bytes"
	"testing"
)

func TestFLACDamage(t *testing.T) {
	good := load(t, "made/mono16000_16bit.flac")
	flip := func(at int) []byte {
		file := bytes.Clone(good)
		file[at] ^= 0x10
		return file
	}
	claims := bytes.Clone(good)
	claims[25]++ // the last byte of the count of samples
	unknown := bytes.Clone(good)
	unknown[21] &= 0xF0
	clear(unknown[22:26])
	rate := bytes.Clone(good)
	rate[18], rate[19], rate[20] = 0x00, 0x3E, rate[20]&0x0F|0x80 // 1000 Hz
	for name, c := range map[string]struct {
		file []byte
		want outcome
	}{
		"ID3v2 before":      {splice(id3([]byte("something")), good), sound(16000, 1, 1600)},
		"count not known":   {unknown, sound(16000, 1, 1600)},
		"one more claimed":  {claims, warned(16000, 1, 1600, "1600 frames are there, the head of the file says 1601")},
		"cut off":           {good[:len(good)-10], warned(16000, 1, 1536, "cut off after 96ms")},
		"a bit turned late": {flip(len(good) - 20), warned(16000, 1, 1536, "damaged after 96ms")},
		"a bit turned soon": {flip(len(good) / 2), warned(16000, 1, 768, "the rest was left out")},
		"head alone":        {good[:42], broken("head of the FLAC file is damaged")},
		"letters alone":     {good[:4], broken("head of the FLAC file is damaged")},
		"rate too low":      {rate, broken("1000 frames a second")},
	} {
		check(t, name, c.file, c.want)
	}
}
