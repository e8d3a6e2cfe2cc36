package mp3

import (
	"bytes"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"
)

// load reads a file of testdata/cases.
func load(t *testing.T, name string) []byte {
	t.Helper()
	for _, dir := range []string{"../../testdata/cases", "../decode/testdata"} {
		if data, err := os.ReadFile(filepath.Join(dir, name)); err == nil {
			return data
		}
	}
	t.Fatal("there is no ", name)
	return nil
}

// secondFrame is where frame n of a file begins, from 0.
func secondFrame(file []byte, n int) int {
	at := 0
	for range n {
		h, ok := parseHeader(file[at:])
		if !ok {
			panic("no header")
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
		clip, err := Decode(file)
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
	clip, err := Decode(file)
	if err != nil || len(clip.Warnings) != 1 {
		t.Errorf("a first frame that points back: %v, %q", err, clip.Warnings)
	}
}

func mustHeader(t *testing.T, file []byte) header {
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
		out = append(out, slices.Concat(side[1:], all[begin:begin+mainLen(h, side)]))
	}
	return out
}

func TestMPEGHeaders(t *testing.T) {
	for _, c := range []struct {
		bytes []byte
		want  header
		size  int
	}{
		{[]byte{0xff, 0xfb, 0x50, 0xc4}, header{1, 3, 64, 44100, 0, false, 3, 0}, 208},
		{[]byte{0xff, 0xfb, 0x92, 0x64}, header{1, 3, 128, 44100, 1, false, 1, 2}, 418},
		{[]byte{0xff, 0xf3, 0x42, 0xc4}, header{2, 3, 32, 22050, 1, false, 3, 0}, 105},
		{[]byte{0xff, 0xe3, 0x18, 0xc4}, header{25, 3, 8, 8000, 0, false, 3, 0}, 72},
		{[]byte{0xff, 0xfd, 0x84, 0x00}, header{1, 2, 128, 48000, 0, false, 0, 0}, 384},
		{[]byte{0xff, 0xfe, 0x44, 0x00}, header{1, 1, 128, 48000, 0, true, 0, 0}, 128},
		{[]byte{0xff, 0xfb, 0x00, 0xc4}, header{1, 3, 0, 44100, 0, false, 3, 0}, 0},
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

// TestWindows: a file read window by window is the file read whole.
func TestWindows(t *testing.T) {
	defer func(was int64) { window = was }(window)
	for _, name := range []string{"made/mono44100_64k_no_tag.mp3"} { // a tag would count its frames alone
		data := bytes.Repeat(load(t, name), 30)
		whole, err := Decode(data)
		if err != nil {
			t.Fatal(err)
		}
		for _, window = range []int64{9 << 10, 20 << 10, 48 << 10, 1 << 20} {
			s, err := Open(bytes.NewReader(data), 0, int64(len(data)))
			if err != nil {
				t.Fatal(err)
			}
			var got []float32
			for err == nil {
				got, err = s.Next(got)
			}
			if err != io.EOF || !slices.Equal(got, whole.Samples) {
				t.Errorf("%s in windows of %d bytes: %d samples of %d, %v", name, window, len(got), len(whole.Samples), err)
			}
		}
	}
}
