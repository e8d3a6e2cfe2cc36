package wav

import (
	"bytes"
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"cuewright/audio"
)

// memory is a File that stands in memory and fails after a number of bytes.
type memory struct {
	b     []byte
	pos   int64
	room  int // bytes that Write still takes; below 0: no limit
	calls int
}

var errFull = errors.New("no space left")

func (m *memory) Write(p []byte) (int, error) {
	m.calls++
	if m.room >= 0 && len(p) > m.room {
		p = p[:m.room]
		m.WriteAt(p, m.pos)
		m.pos += int64(len(p))
		m.room = 0
		return len(p), errFull
	}
	if m.room >= 0 {
		m.room -= len(p)
	}
	n, err := m.WriteAt(p, m.pos)
	m.pos += int64(n)
	return n, err
}

func (m *memory) WriteAt(p []byte, at int64) (int, error) {
	if grow := at + int64(len(p)) - int64(len(m.b)); grow > 0 {
		m.b = append(m.b, make([]byte, grow)...)
	}
	return copy(m.b[at:], p), nil
}

func (m *memory) Seek(offset int64, whence int) (int64, error) {
	switch whence {
	case io.SeekCurrent:
		offset += m.pos
	case io.SeekEnd:
		offset += int64(len(m.b))
	}
	m.pos = offset
	return offset, nil
}

// write makes a whole file, its samples in blocks of a size.
func write(t testing.TB, form Format, pcm []byte, block int) []byte {
	t.Helper()
	m := &memory{room: -1}
	w, err := NewWriter(m, form)
	if err != nil {
		t.Fatal(err)
	}
	for len(pcm) > 0 {
		n := min(block, len(pcm))
		if got, err := w.Write(pcm[:n]); got != n || err != nil {
			t.Fatalf("Write of %d bytes: %d, %v", n, got, err)
		}
		pcm = pcm[n:]
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return m.b
}

func ramp(n int) []byte {
	b := make([]byte, n)
	for i := range b {
		b[i] = byte(i*7 + i>>8)
	}
	return b
}

func TestWriteIsStrictRIFF(t *testing.T) {
	markers := []audio.Marker{{Frame: 0, Label: "opening"}, {Frame: 3, Label: "Größe: 5 % · 8.5 km/h"}, {Frame: 5, Label: ""}, {Frame: 5, Label: "ab"}, {Frame: 9, Label: strings.Repeat("long ", 120)}}
	for _, form := range []Format{
		{FileInfo: audio.FileInfo{Rate: 48000, Channels: 1, Bits: 16, Frames: 9}},
		{FileInfo: audio.FileInfo{Rate: 44100, Channels: 2, Bits: 24, Frames: 9, Markers: markers, Title: "Harbour", Artist: "Gull"},
			Software: "x 1"},
		{FileInfo: audio.FileInfo{Rate: 8000, Channels: 1, Bits: 24, Frames: 9, Markers: markers[:4]}}, // odd length
		{FileInfo: audio.FileInfo{Rate: 8000, Channels: 1, Bits: 24, Frames: 1, Title: "even"}},
		{FileInfo: audio.FileInfo{Rate: 8000, Channels: 2, Bits: 16, Frames: 0, Artist: "nobody"}},
	} {
		pcm := ramp(int(form.Frames) * form.Channels * form.Bits / 8)
		file := write(t, form, pcm, 5)
		s := walk(t, file)
		if s.rate != int(form.Rate) || s.channels != form.Channels || s.bits != form.Bits || !bytes.Equal(s.data, pcm) {
			t.Errorf("%+v: got %v", form, s)
		}
		if got := s.markers(); !reflect.DeepEqual(got, form.Markers) {
			t.Errorf("markers %v, want %v", got, form.Markers)
		}
		for name, want := range map[string]string{"INAM": form.Title, "IART": form.Artist, "ISFT": form.Software} {
			if s.texts[name] != want {
				t.Errorf("%s is %q, want %q", name, s.texts[name], want)
			}
		}
		if got := strings.Join(s.order, ","); !strings.HasPrefix("fmt ,data,cue ,LIST adtl,LIST INFO", strings.Split(got, ",LIST INFO")[0]) {
			t.Errorf("chunks stand as %s", got)
		}
		samples, info, err := readAll(file)
		if err != nil || len(info.Warnings) > 0 || len(samples) != int(form.Frames)*form.Channels {
			t.Errorf("reading back: %d samples, %v, %v", len(samples), info.Warnings, err)
		}
		if info.Title != form.Title || info.Artist != form.Artist || !reflect.DeepEqual(info.Markers, form.Markers) {
			t.Errorf("reading back: %+v", info)
		}
	}
}

// The published example, byte for byte.
func TestWriteMatchesReferenceFile(t *testing.T) {
	want, err := os.ReadFile("../../testdata/reference/wav/markers_after_data.wav")
	if err != nil {
		t.Fatal(err)
	}
	form := Format{FileInfo: audio.FileInfo{Rate: 8000, Channels: 1, Bits: 16, Frames: 8, Markers: []audio.Marker{{Frame: 2, Label: "GO"}, {Frame: 5, Label: "STOP"}}}}
	if got := write(t, form, want[44:60], 100); !bytes.Equal(got, want) {
		t.Errorf("got\n% x\nwant\n% x", got, want)
	}
}

func TestWriteAnythingReadsBack(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		form := Format{FileInfo: audio.FileInfo{
			Rate:     audio.Rate(rapid.IntRange(int(audio.MinRate), int(audio.MaxRate)).Draw(r, "rate")),
			Channels: rapid.IntRange(1, 2).Draw(r, "channels"),
			Bits:     rapid.SampledFrom([]int{16, 24}).Draw(r, "bits"),
			Frames:   rapid.Int64Range(0, 50).Draw(r, "frames"),
		}}
		text := rapid.StringMatching(`[^\x00]{0,12}`)
		form.Title, form.Artist = text.Draw(r, "title"), text.Draw(r, "artist")
		for range rapid.IntRange(0, 4).Draw(r, "markers") {
			form.Markers = append(form.Markers, audio.Marker{Frame: rapid.Int64Range(0, form.Frames).Draw(r, "frame"), Label: text.Draw(r, "label")})
		}
		pcm := ramp(int(form.Frames) * form.Channels * form.Bits / 8)
		file := write(t, form, pcm, rapid.IntRange(1, 40).Draw(r, "block"))
		walk(t, file)
		reader, err := NewReader(bytes.NewReader(file), int64(len(file)))
		if err != nil {
			r.Fatal(err)
		}
		want := Info{FileInfo: form.FileInfo}
		if !reflect.DeepEqual(reader.Info, want) {
			r.Fatalf("got %+v, want %+v", reader.Info, want)
		}
	})
}

func TestWriterRefuses(t *testing.T) {
	good := Format{FileInfo: audio.FileInfo{Rate: 48000, Channels: 1, Bits: 16, Frames: 10}}
	for name, c := range map[string]struct {
		change func(*Format)
		want   string
	}{
		"no rate":        {func(f *Format) { f.Rate = 0 }, "0 frames a second"},
		"three channels": {func(f *Format) { f.Channels = 3 }, "3 channels"},
		"8 bits":         {func(f *Format) { f.Bits = 8 }, "8 bits"},
		"negative":       {func(f *Format) { f.Frames = -1 }, "-1 frames"},
		"early marker":   {func(f *Format) { f.Markers = []audio.Marker{{Frame: -1, Label: "x"}} }, "outside"},
		"late marker":    {func(f *Format) { f.Markers = []audio.Marker{{Frame: 11, Label: "x"}} }, "outside"},
		"zero in label":  {func(f *Format) { f.Markers = []audio.Marker{{Frame: 1, Label: "x\x00y"}} }, "zero"},
		"bad title":      {func(f *Format) { f.Title = "\xff" }, "UTF-8"},
		"4 GiB":          {func(f *Format) { f.Frames = (1<<32 - 36) / 2 }, "4 GiB"},
		"a lot":          {func(f *Format) { f.Frames = 1 << 62 }, "4 GiB"},
		"4 GiB by texts": {func(f *Format) { f.Frames = (1<<32 - 38) / 2; f.Title = "x" }, "4 GiB"},
	} {
		form := good
		c.change(&form)
		m := &memory{room: -1}
		if _, err := NewWriter(m, form); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: error %v, want one with %q", name, err, c.want)
		}
		if m.calls > 0 {
			t.Errorf("%s: something was written all the same", name)
		}
	}
	// The largest file of all is not refused.
	form := good
	form.Frames = (1<<32 - 37) / 2
	if _, err := NewWriter(&memory{room: -1}, form); err != nil {
		t.Errorf("%d frames: %v", form.Frames, err)
	}
}

func TestWriterCountsFrames(t *testing.T) {
	form := Format{FileInfo: audio.FileInfo{Rate: 48000, Channels: 2, Bits: 16, Frames: 10}}
	w, err := NewWriter(&memory{room: -1}, form)
	if err != nil {
		t.Fatal(err)
	}
	w.Write(make([]byte, 36))
	if err := w.Close(); err == nil || !strings.Contains(err.Error(), "9 of 10 frames") {
		t.Errorf("nine of ten frames: %v", err)
	}
	w, _ = NewWriter(&memory{room: -1}, form)
	if n, err := w.Write(make([]byte, 41)); n != 0 || err == nil {
		t.Errorf("a byte too much: %d, %v", n, err)
	}
	if _, err := w.Write(nil); err == nil {
		t.Error("an error was forgotten")
	}
	w, _ = NewWriter(&memory{room: -1}, form)
	w.Write(make([]byte, 40))
	if err := w.Close(); err != nil {
		t.Error(err)
	}
	if err := w.Close(); err == nil {
		t.Error("a second Close found nothing wrong")
	}
	if _, err := w.Write([]byte{0}); err == nil {
		t.Error("Write after Close found nothing wrong")
	}
}

// Wherever the disk fills up, somebody is told.
func TestWriterFullDisk(t *testing.T) {
	form := Format{FileInfo: audio.FileInfo{Rate: 48000, Channels: 1, Bits: 24, Frames: 3, Markers: []audio.Marker{{Frame: 1, Label: "go"}}, Title: "t"}}
	whole := len(write(t, form, make([]byte, 9), 9))
	for room := range whole {
		w, err := NewWriter(&memory{room: room}, form)
		if err == nil {
			if _, err = w.Write(make([]byte, 9)); err == nil {
				err = w.Close()
			}
		}
		if err == nil || !strings.Contains(err.Error(), errFull.Error()) {
			t.Errorf("full after %d of %d bytes: %v", room, whole, err)
		}
	}
}

// An hour must not cost a write for every sample, nor memory.
func TestWriterIsLean(t *testing.T) {
	m := &memory{room: -1, b: make([]byte, 0, 8<<20)}
	block := make([]byte, 64<<10)
	form := Format{FileInfo: audio.FileInfo{Rate: 48000, Channels: 2, Bits: 24, Frames: 60 * int64(len(block)) / 6}}
	got := testing.AllocsPerRun(1, func() {
		*m = memory{room: -1, b: m.b[:0]}
		w, err := NewWriter(m, form)
		if err != nil {
			t.Fatal(err)
		}
		for left := form.Frames * 6; left > 0; {
			n, err := w.Write(block[:min(left, int64(len(block)))])
			if err != nil {
				t.Fatal(err)
			}
			left -= int64(n)
		}
		if err := w.Close(); err != nil {
			t.Fatal(err)
		}
	})
	if got > 100 || m.calls > 100 {
		t.Errorf("%g allocations and %d calls of Write for 60 blocks", got, m.calls)
	}
}

// Other programs, where they are installed, must see what we wrote.
func TestOtherProgramsReadIt(t *testing.T) {
	form := Format{FileInfo: audio.FileInfo{
		Rate: 48000, Channels: 2, Bits: 24, Frames: 48001, Title: "Harbour Steps", Artist: "Gull Lane",
		Markers: []audio.Marker{{Frame: 0, Label: "warm-up"}, {Frame: 24000, Label: "Höhe 5"}}}}
	path := filepath.Join(t.TempDir(), "track.wav")
	if err := os.WriteFile(path, write(t, form, make([]byte, 48001*6), 1<<16), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		command []string
		want    []string
	}{
		{[]string{"ffprobe", "-v", "warning", "-show_chapters", "-show_format", "-show_streams"},
			[]string{"TAG:title=warm-up", "TAG:title=Höhe 5", "start=24000", "TAG:artist=Gull Lane", "duration_ts=48001"}},
		{[]string{"sox", "--i"}, []string{"48001 samples", "24-bit"}},
		{[]string{"sndfile-info"}, []string{"Frames      : 48001", "warm-up", "Höhe 5"}},
	} {
		t.Run(c.command[0], func(t *testing.T) {
			if _, err := exec.LookPath(c.command[0]); err != nil {
				t.Skipf("%s is not installed: what it thinks of our files is not checked", c.command[0])
			}
			out, err := exec.Command(c.command[0], append(c.command[1:], path)...).CombinedOutput()
			if err != nil {
				t.Fatalf("%v\n%s", err, out)
			}
			for _, want := range c.want {
				if !strings.Contains(string(out), want) {
					t.Errorf("no %q in\n%s", want, out)
				}
			}
			if s := strings.ToLower(string(out)); strings.Contains(s, "warn") || strings.Contains(s, "should be") {
				t.Errorf("it complains:\n%s", out)
			}
		})
	}
}

func BenchmarkWrite(b *testing.B) {
	f, err := os.Create(filepath.Join(b.TempDir(), "track.wav"))
	if err != nil {
		b.Fatal(err)
	}
	defer f.Close()
	block := make([]byte, 256<<10)
	b.SetBytes(40 * int64(len(block)))
	for b.Loop() {
		f.Seek(0, io.SeekStart)
		w, err := NewWriter(f, Format{FileInfo: audio.FileInfo{Rate: 48000, Channels: 1, Bits: 16, Frames: 40 * int64(len(block)) / 2}})
		if err != nil {
			b.Fatal(err)
		}
		for range 40 {
			w.Write(block)
		}
		if err := w.Close(); err != nil {
			b.Fatal(err)
		}
	}
}
