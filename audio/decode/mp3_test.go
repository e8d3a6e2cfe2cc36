package decode

import (
	"bytes"
	"encoding/binary"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"
)

func splice(parts ...[]byte) []byte { return bytes.Join(parts, nil) }

// id3 is an ID3v2 tag with a body.
func id3(body []byte) []byte {
	n := len(body)
	return splice([]byte{'I', 'D', '3', 4, 0, 0, byte(n >> 21), byte(n >> 14 & 127), byte(n >> 7 & 127), byte(n & 127)}, body)
}

// Damage and decoration, done to a good file of 17 frames and 17640 samples.
func TestMP3DamageAndTags(t *testing.T) {
	good := load(t, "made/mono44100_64k.mp3")
	want, err := Bytes("good", good)
	if err != nil {
		t.Fatal(err)
	}
	const frames = 17640
	whole := sound(44100, 1, frames)
	fakeSync := []byte{0xff, 0xfb, 0x50, 0xc4, 0, 0, 0, 0}
	id3v1 := append([]byte("TAG"), make([]byte, 125)...)
	copy(id3v1[40:], fakeSync)
	ape := append([]byte("APETAGEX"), make([]byte, 60)...)
	copy(ape[20:], fakeSync)
	footer := id3(make([]byte, 20))
	footer[5] = 0x10
	footer = append(footer, "3DI\x04\x00\x10\x00\x00\x00\x14"...)

	// Nothing around the frames may change a sample.
	for name, file := range map[string][]byte{
		"ID3v2":                splice(id3(bytes.Repeat(fakeSync, 300)), good),
		"two ID3v2 tags":       splice(id3(fakeSync), id3(fakeSync), good),
		"ID3v2 with a footer":  splice(footer, good),
		"ID3v1":                splice(good, id3v1),
		"APE tag and ID3v1":    splice(good, ape, id3v1),
		"zeros before":         splice(make([]byte, 1000), good),
		"zeros behind":         splice(good, make([]byte, 3000)),
		"ID3v2 in the middle":  splice(good[:secondFrame(good, 8)], id3(fakeSync), good[secondFrame(good, 8):]),
		"tag that claims more": splice([]byte("ID3\x03\x00\x00\x7f\x7f\x7f\x7f"), good),
	} {
		if got := check(t, name, file, whole); !slices.Equal(got.Samples, want.Samples) {
			t.Errorf("%s: other samples", name)
		}
	}

	noTag := load(t, "made/mono44100_64k_no_tag.mp3")
	other := load(t, "made/mono22050_32k.mp3")
	const frame = 1152
	for name, c := range map[string]struct {
		file []byte
		want outcome
	}{
		"cut off":                    {good[:len(good)/2], warned(44100, 1, 8*frame-1105, "cut off or damaged")},
		"cut off, no tag":            {noTag[:len(noTag)-5], warned(44100, 1, 16*frame, "cut off inside the last MP3 frame")},
		"cut off in the last header": {noTag[:secondFrame(noTag, 16)+3], warned(44100, 1, 16*frame, "cut off inside")},
		"bytes missing":              {splice(noTag[:secondFrame(noTag, 6)+50], noTag[secondFrame(noTag, 6)+90:]), warned(44100, 1, 16*frame, "belong to no MP3 frame")},
		"garbage between": {splice(noTag[:secondFrame(noTag, 6)], bytes.Repeat([]byte("garbage "), 20), noTag[secondFrame(noTag, 6):]),
			warned(44100, 1, 17*frame, "belong to no MP3 frame (160)")},
		"two streams":          {splice(noTag, other), broken("changes its kind inside the file (44100 Hz, then 22050 Hz)")},
		"tag alone":            {id3(fakeSync), broken("no sound behind it")},
		"no sound but the tag": {good[:secondFrame(good, 1)], broken("no whole MP3 frame")},
	} {
		check(t, name, c.file, c.want)
	}
}

// secondFrame is where frame i of a file of frames begins.
func secondFrame(file []byte, i int) (at int) {
	for range i {
		h := file[at:]
		if h[0] != 0xFF || h[1]&0xE0 != 0xE0 {
			panic("no frame")
		}
		// ISO 11172-3, 2.4.3.1, and 13818-3 for half the rates: layer III.
		kbits := [2][]int{{0, 8, 16, 24, 32, 40, 48, 56, 64, 80, 96, 112, 128, 144, 160}, {0, 32, 40, 48, 56, 64, 80, 96, 112, 128, 160, 192, 224, 256, 320}}
		first := int(h[1] >> 3 & 1)
		rate := []int{44100, 48000, 32000}[h[2]>>2&3] / (2 - first)
		at += 72*(1+first)*1000*kbits[first][h[2]>>4]/rate + int(h[2]>>1&1)
	}
	return at
}

// A second decoder, where it is installed, must hear the same.
func TestAnotherMP3Decoder(t *testing.T) {
	const other = "mpg123"
	if _, err := exec.LookPath(other); err != nil {
		t.Skipf("%s is not installed: our MP3 samples are not compared with it", other)
	}
	files, _ := filepath.Glob(filepath.Join(cases, "m*/*.mp3"))
	compared := 0
	for _, path := range files {
		name := filepath.Join(filepath.Base(filepath.Dir(path)), filepath.Base(path))
		clip, err := Bytes(name, load(t, name))
		if err != nil {
			continue // TestCases knows which
		}
		out, err := exec.Command(other, "-q", "-s", "-e", "s16", path).Output()
		if err != nil {
			t.Fatal(err)
		}
		want := make([]float32, len(out)/2)
		for i := range want {
			want[i] = float32(int16(binary.LittleEndian.Uint16(out[2*i:]))) / (1 << 15)
		}
		least := 60.0
		if len(clip.Warnings) > 0 {
			least = 35 // joint stereo in MPEG-2, and the edge of a cut
		}
		if got := snr(clip.Samples, want, 1, 0); len(want) != len(clip.Samples) || got < least {
			t.Errorf("%s: %d samples, %s gives %d; %.1f dB, want at least %g", name, len(clip.Samples), other, len(want), got, least)
		}
		compared++
	}
	if compared < 8 {
		t.Errorf("only %d files were compared", compared)
	}
}
