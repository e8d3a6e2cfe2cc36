package decode

import (
	"bytes"
	"encoding/binary"
	"math"
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
		h, ok := parseHeader(file[at:])
		if !ok {
			panic("no frame")
		}
		at += h.size()
	}
	return at
}

// A stream that begins in the middle points back to data that are gone. Its first
// frames must be silent, not noise.
func TestMP3WithoutItsBeginning(t *testing.T) {
	for _, name := range []string{"made/mono44100_64k_no_tag.mp3", "mp3/mono22050_32k_garbage.mp3"} {
		file := load(t, name)
		file = file[secondFrame(file, 3):]
		f, err := walkFrames(file, mustHeader(t, file))
		if err != nil {
			t.Fatal(err)
		}
		_, silenced, err := f.repair()
		if err != nil {
			t.Fatal(err)
		}
		clip, err := Bytes(name, file)
		if err != nil {
			t.Fatal(err)
		}
		if (silenced > 0) != (len(clip.Warnings) > 0) {
			t.Errorf("%s: %d silent frames, warnings %q", name, silenced, clip.Warnings)
		}
		t.Logf("%s: %d silent frames", name, silenced)
		for i, v := range clip.Samples[:silenced*f.first.samples()] {
			if v != 0 {
				t.Errorf("%s: sample %d of a silent frame is %g", name, i, v)
				break
			}
		}
		for i, v := range clip.Samples {
			if math.Abs(float64(v)) > 0.95 {
				t.Errorf("%s: sample %d is %g: noise", name, i, v)
				break
			}
		}
	}
	// By hand: a frame that points back in a stream of which it is the first.
	file := load(t, "made/mono44100_64k_no_tag.mp3")
	h := mustHeader(t, file)
	file[h.bodyAt()] = 0xFF
	clip, err := Bytes("clip", file)
	if err != nil || len(clip.Warnings) != 1 {
		t.Errorf("a first frame that points back: %v, %q", err, clip.Warnings)
	}
}

func mustHeader(t *testing.T, file []byte) mpegHeader {
	t.Helper()
	h, ok := parseHeader(file)
	if !ok {
		t.Fatal("no header")
	}
	return h
}

// Packing anew must keep every bit of main data that a frame uses.
func TestRepackKeepsMainData(t *testing.T) {
	for _, name := range []string{"mp3/mono22050_32k_garbage.mp3", "mp3/stereo22050_80k_garbage.mp3",
		"made/mono22050_32k.mp3", "made/stereo22050_160k.mp3"} {
		file := load(t, name)
		before, err := walkFrames(file, mustHeader(t, file))
		if err != nil {
			t.Fatal(err)
		}
		feed, silenced, err := before.repair()
		if err != nil || silenced > 0 {
			t.Errorf("%s: %v, %d silent frames", name, err, silenced)
			continue
		}
		after, err := walkFrames(feed, mustHeader(t, feed))
		if err != nil || len(after.starts) != len(before.starts) || after.lost > 0 || after.cut {
			t.Errorf("%s: %d frames of %d, %d bytes lost, %v", name, len(after.starts), len(before.starts), after.lost, err)
			continue
		}
		old, packed := mainData(before), mainData(after)
		for i := range old {
			if h, _ := after.at(i); h.padding != 0 || h.crc || decoderSize(h) != h.size() {
				t.Errorf("%s: frame %d has the header %+v", name, i, h)
			}
			if !bytes.Equal(old[i], packed[i]) {
				t.Errorf("%s: frame %d has other main data", name, i)
				break
			}
		}
	}
}

// mainData are the bytes that each frame uses, side information (but for the
// pointer) first.
func mainData(f *frames) (out [][]byte) {
	var all []byte
	for i := range f.starts {
		h, frame := f.at(i)
		side := frame[h.bodyAt():][:h.sideLen()]
		begin := len(all) - int(side[0])
		all = append(all, frame[h.bodyAt()+h.sideLen():]...)
		out = append(out, splice(side[1:], all[begin:begin+mainLen(h, side)]))
	}
	return out
}

func TestMPEGHeaders(t *testing.T) {
	for _, c := range []struct {
		bytes []byte
		want  mpegHeader
		size  int
	}{
		{[]byte{0xff, 0xfb, 0x50, 0xc4}, mpegHeader{1, 3, 64, 44100, 0, false, 3, 0}, 208},
		{[]byte{0xff, 0xfb, 0x92, 0x64}, mpegHeader{1, 3, 128, 44100, 1, false, 1, 2}, 418},
		{[]byte{0xff, 0xf3, 0x42, 0xc4}, mpegHeader{2, 3, 32, 22050, 1, false, 3, 0}, 105},
		{[]byte{0xff, 0xe3, 0x18, 0xc4}, mpegHeader{25, 3, 8, 8000, 0, false, 3, 0}, 72},
		{[]byte{0xff, 0xfd, 0x84, 0x00}, mpegHeader{1, 2, 128, 48000, 0, false, 0, 0}, 384},
		{[]byte{0xff, 0xfe, 0x44, 0x00}, mpegHeader{1, 1, 128, 48000, 0, true, 0, 0}, 128},
		{[]byte{0xff, 0xfb, 0x00, 0xc4}, mpegHeader{1, 3, 0, 44100, 0, false, 3, 0}, 0},
	} {
		if h, ok := parseHeader(c.bytes); !ok || h != c.want || h.size() != c.size {
			t.Errorf("% x: %+v of %d bytes, %v", c.bytes, h, h.size(), ok)
		}
	}
	for _, b := range [][]byte{{0xff, 0xfb, 0x50}, {0xff, 0xdb, 0x50, 0xc4}, {0xff, 0xeb, 0x50, 0xc4}, {0xff, 0xf9, 0x50, 0xc4},
		{0xff, 0xfb, 0xf0, 0xc4}, {0xff, 0xfb, 0x5c, 0xc4}, {0xff, 0xfb, 0x50, 0xc6}} {
		if h, ok := parseHeader(b); ok {
			t.Errorf("% x was taken for %+v", b, h)
		}
	}
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
