package faults

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"cuewright/audio"
	"cuewright/audio/voice"
)

// wavOf is a clip as a WAV file of 16 bits.
func wavOf(c audio.Clip) []byte {
	var data bytes.Buffer
	for _, v := range c.Samples {
		binary.Write(&data, binary.LittleEndian, int16(max(-32768, min(32767, v*32768))))
	}
	var b bytes.Buffer
	b.WriteString("RIFF")
	binary.Write(&b, binary.LittleEndian, uint32(36+data.Len()))
	b.WriteString("WAVEfmt ")
	binary.Write(&b, binary.LittleEndian, struct {
		size            uint32
		tag, channels   uint16
		rate, perSecond uint32
		align, bits     uint16
	}{16, 1, uint16(c.Channels), uint32(c.Rate), uint32(int(c.Rate) * 2 * c.Channels), uint16(2 * c.Channels), 16})
	b.WriteString("data")
	binary.Write(&b, binary.LittleEndian, uint32(data.Len()))
	b.Write(data.Bytes())
	return b.Bytes()
}

// TestCheck judges a folder: every file is in the report, sorted, with what only
// its companions tell.
func TestCheck(t *testing.T) {
	make := func(seed uint64, kind Kind, gain float32) *fstest.MapFile {
		clip, _ := record(rand.New(rand.NewPCG(seed, 1)), kind)
		for i := range clip.Samples {
			clip.Samples[i] *= gain
		}
		return &fstest.MapFile{Data: wavOf(clip)}
	}
	folder := fstest.MapFS{
		"speed.wav": make(3, "", 1), "speed.2.wav": make(3, "", 0.2), "incline.wav": make(4, "", 1),
		"bananas.wav": make(5, "", 1), "go-5.wav": make(6, "", 1), "to.wav": make(7, Clipped, 1),
		"left.wav": {Data: []byte("no sound")}, "phone.m4a": {Data: []byte("…")}, "one.wav": make(8, deadSide, 1),
	}
	cut := make(9, "", 1)
	cut.Data = cut.Data[:len(cut.Data)-1000] // of the silence after the word
	folder["two.wav"] = cut
	v, err := voice.Open(folder, voice.Options{Rate: 48000})
	if err != nil {
		t.Fatal(err)
	}
	vocabulary := map[string]bool{"speed": true, "incline": true, "go": true, "to": true, "left": true, "one": true, "two": true}
	reports, err := Check(context.Background(), v, vocabulary)
	if err != nil {
		t.Fatal(err)
	}
	found := map[string]string{}
	var files []string
	for _, r := range reports {
		files = append(files, r.File)
		for _, f := range r.Faults {
			if f.Advice == "" || f.Severity != Error && f.Severity != Warning {
				t.Errorf("%s: %+v", r.File, f)
			}
			found[r.File] += fmt.Sprintf("%s %s; ", f.Severity, f.Kind)
		}
	}
	if !slices.IsSorted(files) || len(files) != len(folder) {
		t.Errorf("reports on %v", files)
	}
	for file, want := range map[string]string{
		"speed.wav": "", "incline.wav": "", "speed.2.wav": "warning uneven-takes; ", "bananas.wav": "warning unused; ", "go-5.wav": "warning unused; ",
		"to.wav": "error clipped; ", "left.wav": "error unreadable; ", "phone.m4a": "error unreadable; ", "one.wav": "warning dead-side; ", "two.wav": "warning damaged; ",
	} {
		if found[file] != want && !(strings.Contains(found[file], want) && want != "") {
			t.Errorf("%s: %q, want %q", file, found[file], want)
		}
	}
	cancelled, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Check(cancelled, v, nil); err == nil {
		t.Error("a cancelled check ends well")
	}
}
