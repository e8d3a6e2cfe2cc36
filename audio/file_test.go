package audio

import (
	"strings"
	"testing"
)

func TestFileInfoCheck(t *testing.T) {
	good := FileInfo{Rate: 48000, Channels: 2, Bits: 24, Frames: 10, Title: "Höhe", Markers: []Marker{{0, "opening"}, {10, ""}}}
	if err := good.Check(48000, 10); err != nil || good.FrameBytes() != 6 {
		t.Errorf("%v, %d bytes a frame", err, good.FrameBytes())
	}
	for want, change := range map[string]func(*FileInfo){
		"0 frames a second":                 func(f *FileInfo) { f.Rate = 0 },
		"48001 frames a second":             func(f *FileInfo) { f.Rate = 48001 },
		"0 channels, only 1 or 2":           func(f *FileInfo) { f.Channels = 0 },
		"3 channels, only 1 or 2":           func(f *FileInfo) { f.Channels = 3 },
		"8 bits, only 16 or 24":             func(f *FileInfo) { f.Bits = 8 },
		"-1 frames":                         func(f *FileInfo) { f.Frames = -1 },
		"11 frames":                         func(f *FileInfo) { f.Frames = 11 },
		`"x" at frame -1 is outside`:        func(f *FileInfo) { f.Markers = []Marker{{-1, "x"}} },
		`"x" at frame 11 is outside`:        func(f *FileInfo) { f.Markers = []Marker{{11, "x"}} },
		`"a\x00": it is not UTF-8 or holds`: func(f *FileInfo) { f.Markers = []Marker{{1, "a\x00"}} },
		`"\xff": it is not UTF-8 or holds`:  func(f *FileInfo) { f.Title = "\xff" },
		`"\xfe": it is not UTF-8 or holds`:  func(f *FileInfo) { f.Artist = "\xfe" },
	} {
		changed := good
		change(&changed)
		if err := changed.Check(48000, 10); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v", want, err)
		}
	}
}
