package wav

import (
	"bytes"
	"cuewright/audio"
	"encoding/binary"
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// bextField is a field of the chunk by the published layout.
func bextField(t *testing.T, name string, body []byte) []byte {
	t.Helper()
	data, err := os.ReadFile("../../testdata/reference/wav/layout.json")
	if err != nil {
		t.Fatal(err)
	}
	var layout struct {
		Chunks map[string][][]any
	}
	if err := json.Unmarshal(data, &layout); err != nil {
		t.Fatal(err)
	}
	for _, row := range layout.Chunks["bext (version 2)"] {
		if row[0] != name {
			continue
		}
		at := int(row[2].(float64))
		if n, ok := row[3].(float64); ok {
			return body[at : at+int(n)]
		}
		return body[at:]
	}
	t.Fatalf("the layout has no field %q", name)
	return nil
}

// The chunk holds what it should at the places of EBU Tech 3285 v2.
func TestBroadcastChunk(t *testing.T) {
	form := Format{FileInfo: audio.FileInfo{Rate: 8000, Channels: 1, Bits: 16, Title: "Höhe " + strings.Repeat("x", 300)}, Software: "cuewright"}
	body := form.broadcast(Loudness{-18, 3.2, -1.5, -14.25, -16.5})[8:]
	text := func(name string) string { return string(bytes.TrimRight(bextField(t, name, body), "\x00")) }
	for name, want := range map[string]string{
		"Description": "H?he " + strings.Repeat("x", 251), "Originator": "cuewright", "OriginatorReference": "",
		"OriginationDate": "", "OriginationTime": "", "TimeReferenceLow": "", "TimeReferenceHigh": "", "UMID": "", "Reserved": "",
		"CodingHistory": "A=PCM,F=8000,W=16,M=mono\r\n",
	} {
		if got := text(name); got != want {
			t.Errorf("%s is %q, want %q", name, got, want)
		}
	}
	// The reference file holds the same levels.
	file, err := os.ReadFile("../../testdata/reference/wav/bext.wav")
	if err != nil {
		t.Fatal(err)
	}
	reference := file[20:]
	for _, name := range []string{"Version", "LoudnessValue", "LoudnessRange", "MaxTruePeakLevel", "MaxMomentaryLoudness", "MaxShortTermLoudness", "CodingHistory"} {
		want := bextField(t, name, reference)
		if got := bextField(t, name, body); !bytes.Equal(got, want[:len(got)]) {
			t.Errorf("%s is % x, want % x", name, got, want)
		}
	}
}

func TestHundredths(t *testing.T) {
	for x, want := range map[float64]int16{-16: -1600, -1.006: -101, 0: 0, 3.204: 320, 99.99: 9999, -99.996: unknown, 400: unknown} {
		if got := int16(hundredths(x)); got != want {
			t.Errorf("%g is told as %d, want %d", x, got, want)
		}
	}
	for _, x := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		if got := hundredths(x); got != unknown {
			t.Errorf("%g is told as %d", x, got)
		}
	}
}

// The chunk stands last, whatever is told of the loudness and when, and readers
// still find the rest.
func TestBroadcastFile(t *testing.T) {
	form := Format{FileInfo: audio.FileInfo{Rate: 48000, Channels: 2, Bits: 24, Frames: 3, Title: "Harbour", Markers: []audio.Marker{{Frame: 1, Label: "go"}}},
		Broadcast: true, Software: "cuewright"}
	m := &memory{room: -1}
	w, err := NewWriter(m, form)
	if err != nil {
		t.Fatal(err)
	}
	w.Write(make([]byte, 18))
	w.SetLoudness(Loudness{-20, math.NaN(), -3, -15, -18})
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	s := walk(t, m.b)
	if got := strings.Join(s.order, ","); got != "fmt ,data,cue ,LIST adtl,LIST INFO,bext" {
		t.Errorf("chunks stand as %s", got)
	}
	if got := int16(binary.LittleEndian.Uint16(bextField(t, "LoudnessValue", s.broadcast))); got != -2000 {
		t.Errorf("the loudness is told as %d", got)
	}
	if got := binary.LittleEndian.Uint16(bextField(t, "LoudnessRange", s.broadcast)); got != unknown {
		t.Errorf("the range, which is not known, is told as %d", got)
	}
	untold := walk(t, write(t, form, make([]byte, 18), 18))
	if got := binary.LittleEndian.Uint16(bextField(t, "LoudnessValue", untold.broadcast)); got != unknown {
		t.Errorf("the loudness that nobody told is %d", got)
	}
	if _, info, err := readAll(m.b); err != nil || len(info.Warnings) > 0 || info.Title != "Harbour" || len(info.Markers) != 1 {
		t.Errorf("reading back: %+v, %v", info, err)
	}
}

// Programs of other people find the chunk behind the samples, and the markers.
func TestOtherProgramsReadBroadcast(t *testing.T) {
	form := Format{FileInfo: audio.FileInfo{Rate: 48000, Channels: 1, Bits: 16, Frames: 100, Title: "Harbour", Markers: []audio.Marker{{Frame: 1, Label: "go"}}},
		Broadcast: true, Software: "cuewright"}
	path := filepath.Join(t.TempDir(), "track.wav")
	if err := os.WriteFile(path, write(t, form, make([]byte, 200), 200), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		command []string
		want    []string
	}{
		{[]string{"ffprobe", "-v", "warning", "-show_chapters", "-show_format"}, []string{"TAG:coding_history=A=PCM,F=48000,W=16,M=mono", "TAG:time_reference=0", "TAG:encoded_by=cuewright", "TAG:title=go"}},
		{[]string{"sox", "--i"}, []string{"100 samples"}},
		{[]string{"sndfile-info", "--broadcast"}, []string{"cuewright", "Harbour"}},
		{[]string{"python3", "-c", "import sys,wave; print(wave.open(sys.argv[1]).getparams())"}, []string{"nframes=100", "framerate=48000"}},
	} {
		t.Run(c.command[0], func(t *testing.T) {
			if _, err := exec.LookPath(c.command[0]); err != nil {
				t.Skipf("%s is not installed: what it thinks of our files is not checked", c.command[0])
			}
			out, err := exec.Command(c.command[0], append(c.command[1:], path)...).CombinedOutput()
			for _, want := range c.want {
				if err != nil || !strings.Contains(string(out), want) {
					t.Errorf("%v, no %q in\n%s", err, want, out)
				}
			}
		})
	}
}
