package flac

import (
	"bytes"
	"crypto/md5"
	"errors"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	mewkiz "github.com/mewkiz/flac"
	"github.com/mewkiz/flac/frame"
	"github.com/mewkiz/flac/meta"
	"pgregory.net/rapid"

	"cuewright/audio"
)

// memory is a File that stands in memory, with room for so many bytes; below 0:
// for all.
type memory struct {
	b    []byte
	at   int
	room int
}

var errFull = errors.New("no space left")

func (m *memory) Write(p []byte) (int, error) {
	if m.room >= 0 && m.at+len(p) > m.room {
		return 0, errFull
	}
	m.b = append(m.b[:m.at], append(p, m.b[min(len(m.b), m.at+len(p)):]...)...)
	m.at += len(p)
	return len(p), nil
}

func (m *memory) Seek(offset int64, whence int) (int64, error) {
	if whence != io.SeekStart {
		return 0, errors.New("only from the start")
	}
	m.at = int(offset)
	return offset, nil
}

func (m *memory) WriteAt(p []byte, at int64) (int, error) { return copy(m.b[at:], p), nil }

// write makes a whole file, its samples in blocks of a size.
func write(t interface{ Fatal(...any) }, form audio.FileInfo, pcm []byte, size int) []byte {
	m := &memory{room: -1}
	w, err := NewWriter(m, form)
	if err != nil {
		t.Fatal(err)
	}
	for len(pcm) > 0 {
		n := min(size, len(pcm))
		if _, err := w.Write(pcm[:n]); err != nil {
			t.Fatal(err)
		}
		pcm = pcm[n:]
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return m.b
}

// read decodes a file with a decoder that is not ours, back to bytes.
func read(t interface{ Fatal(...any) }, file []byte) (*mewkiz.Stream, []byte) {
	s, err := mewkiz.Parse(bytes.NewReader(file))
	if err != nil {
		t.Fatal(err)
	}
	var out []byte
	for {
		f, err := s.ParseNext()
		if err == io.EOF {
			return s, out
		}
		if err != nil {
			t.Fatal(err)
		}
		for i := range f.Subframes[0].Samples {
			for _, sub := range f.Subframes {
				v := sub.Samples[i]
				out = append(out, byte(v), byte(v>>8))
				if f.BitsPerSample == 24 {
					out = append(out, byte(v>>16))
				}
			}
		}
	}
}

// sounds are the kinds of sample values that drive the writer along its paths, from
// -1 to 1.
var sounds = map[string]func(i int, r *rand.Rand) float64{
	"silence":  func(int, *rand.Rand) float64 { return 0 },
	"constant": func(int, *rand.Rand) float64 { return -0.25 },
	"ramp":     func(i int, _ *rand.Rand) float64 { return float64(i%1000)/500 - 1 },
	"sine":     func(i int, _ *rand.Rand) float64 { return 0.9 * math.Sin(float64(i)*0.031) },
	"voiced": func(i int, r *rand.Rand) float64 {
		return 0.4*math.Sin(float64(i)*0.02) + 0.2*math.Sin(float64(i)*0.11) + 0.01*r.Float64()
	},
	"noise":      func(_ int, r *rand.Rand) float64 { return 2*r.Float64() - 1 },
	"full scale": func(_ int, r *rand.Rand) float64 { return float64(2*r.IntN(2) - 1) },
	"clicks": func(i int, r *rand.Rand) float64 {
		if i%5000 < 20 {
			return r.Float64()
		}
		return 0
	},
}

// pcm is a sound in bytes; the two channels are alike, or the second lags.
func pcm(sound func(int, *rand.Rand) float64, form audio.FileInfo, twins bool) []byte {
	r := rand.New(rand.NewPCG(1, 2))
	var out []byte
	full := float64(int64(1) << (form.Bits - 1))
	var before int32
	for i := range int(form.Frames) {
		v := int32(min(max(math.Round(sound(i, r)*full), -full), full-1))
		for c := range form.Channels {
			x := v
			if c == 1 && !twins {
				x = before
			}
			for b := range form.Bits / 8 {
				out = append(out, byte(x>>(8*b)))
			}
		}
		before = v
	}
	return out
}

// Whatever is written comes back from another decoder, with the sum, the lengths
// and the texts that the head must tell.
func TestComesBack(t *testing.T) {
	var names []string
	for name := range sounds {
		names = append(names, name)
	}
	rapid.Check(t, func(t *rapid.T) {
		form := audio.FileInfo{
			Rate:     rapid.SampledFrom([]audio.Rate{8000, 44100, 48000, 47999, 96000}).Draw(t, "rate"),
			Channels: rapid.IntRange(1, 2).Draw(t, "channels"),
			Bits:     rapid.SampledFrom([]int{16, 24}).Draw(t, "bits"),
			Frames:   rapid.OneOf(rapid.Int64Range(1, 50), rapid.Int64Range(4000, 30000)).Draw(t, "frames"),
			Title:    "Höhe = 5 %",
		}
		want := pcm(sounds[rapid.SampledFrom(names).Draw(t, "sound")], form, rapid.Bool().Draw(t, "twins"))
		file := write(t, form, want, rapid.IntRange(1, 40000).Draw(t, "size"))
		s, got := read(t, file)
		if !bytes.Equal(got, want) {
			t.Fatal("other samples came back")
		}
		i := s.Info
		if i.SampleRate != uint32(form.Rate) || int(i.NChannels) != form.Channels || int(i.BitsPerSample) != form.Bits || i.NSamples != uint64(form.Frames) {
			t.Fatalf("the head says %+v", i)
		}
		if i.MD5sum != md5.Sum(want) || i.BlockSizeMin != block || i.BlockSizeMax != block {
			t.Fatalf("the head says %+v", i)
		}
		if tags := s.Blocks[len(s.Blocks)-1].Body.(*meta.VorbisComment).Tags; len(tags) != 1 || tags[0] != [2]string{"TITLE", "Höhe = 5 %"} {
			t.Fatalf("the texts are %q", tags)
		}
	})
}

// Every point of the seek table leads to the head of the frame that holds its
// moment.
func TestSeekTable(t *testing.T) {
	form := audio.FileInfo{Rate: 8000, Channels: 1, Bits: 16, Frames: 8000*45 + 17}
	file := write(t, form, pcm(sounds["voiced"], form, true), 1000)
	s, _ := read(t, file)
	points := s.Blocks[0].Body.(*meta.SeekTable).Points
	if len(points) != 5 {
		t.Fatalf("%d points in 45 s", len(points))
	}
	first := bytes.Index(file, []byte{0xFF, 0xF8, 0x34}) // of frame 0, of 1152 samples at 8 kHz
	for i, p := range points {
		moment := uint64(i) * 80000
		if p.SampleNum > moment || moment >= p.SampleNum+uint64(p.NSamples) || p.SampleNum%block != 0 {
			t.Errorf("point %d leads to %d samples from %d, the moment is %d", i, p.NSamples, p.SampleNum, moment)
		}
		at, err := frame.New(bytes.NewReader(file[first+int(p.Offset):]))
		if err != nil || at.Num*block != p.SampleNum || at.BlockSize != p.NSamples {
			t.Errorf("point %d leads to %+v: %v", i, at, err)
		}
	}
}

func TestSameBytesForAnyCalls(t *testing.T) {
	form := audio.FileInfo{Rate: 48000, Channels: 2, Bits: 24, Frames: 30_001}
	samples := pcm(sounds["voiced"], form, true)
	once := write(t, form, samples, len(samples))
	for _, size := range []int{1, 777, block * 6, 1 << 16} {
		if !bytes.Equal(write(t, form, samples, size), once) {
			t.Errorf("%d bytes at a time make other bytes than all at once", size)
		}
	}
}

func TestRefuses(t *testing.T) {
	good := audio.FileInfo{Rate: 48000, Channels: 1, Bits: 16, Frames: 10}
	for want, change := range map[string]func(*audio.FileInfo){
		"0 frames a second": func(f *audio.FileInfo) { f.Rate = 0 },
		"3 channels":        func(f *audio.FileInfo) { f.Channels = 3 },
		"8 bits":            func(f *audio.FileInfo) { f.Bits = 8 },
		"-1 frames":         func(f *audio.FileInfo) { f.Frames = -1 },
		"not UTF-8":         func(f *audio.FileInfo) { f.Title = "\xff" },
		"holds a zero":      func(f *audio.FileInfo) { f.Markers = []audio.Marker{{Label: "a\x00"}} },
		"can hold":          func(f *audio.FileInfo) { f.Artist = strings.Repeat("x", maxLen) },
	} {
		form := good
		change(&form)
		if _, err := NewWriter(&memory{room: -1}, form); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v", want, err)
		}
	}
	w, _ := NewWriter(&memory{room: -1}, good)
	w.Write(make([]byte, 18))
	if err := w.Close(); err == nil || !strings.Contains(err.Error(), "9 of 10 frames") {
		t.Errorf("nine of ten frames: %v", err)
	}
	w, _ = NewWriter(&memory{room: -1}, good)
	if n, err := w.Write(make([]byte, 21)); n != 0 || err == nil {
		t.Errorf("a byte too much: %d, %v", n, err)
	}
	if err := w.Close(); err == nil {
		t.Error("an error was forgotten")
	}
}

// Wherever the disk fills up, somebody is told.
func TestFullDisk(t *testing.T) {
	form := audio.FileInfo{Rate: 48000, Channels: 1, Bits: 24, Frames: 20_000}
	samples := pcm(sounds["sine"], form, true)
	whole := len(write(t, form, samples, 5000))
	for room := 0; room < whole; room += 997 {
		w, err := NewWriter(&memory{room: room}, form)
		if err == nil {
			if _, err = w.Write(samples); err == nil {
				err = w.Close()
			}
		}
		if !errors.Is(err, errFull) {
			t.Errorf("full after %d of %d bytes: %v", room, whole, err)
		}
	}
}

// Other programs, where they are installed, accept what we write and decode the
// same samples. The library has no linear prediction and one parameter a frame: over all
// of it the reference encoder may be a fifth shorter.
func TestOtherPrograms(t *testing.T) {
	if _, err := exec.LookPath("flac"); err != nil {
		t.Skip("flac is not installed: what it thinks of our files is not checked")
	}
	dir := t.TempDir()
	var ours, theirs int64
	for name, sound := range sounds {
		for _, form := range []audio.FileInfo{
			{Rate: 48000, Channels: 1, Bits: 16, Frames: 60_005, Title: name, Artist: "Gull Lane", Markers: []audio.Marker{{Frame: 0, Label: "opening"}, {Frame: 48_000, Label: "rise"}}},
			{Rate: 44100, Channels: 2, Bits: 24, Frames: 8192},
		} {
			samples := pcm(sound, form, name == "voiced")
			path := filepath.Join(dir, strings.ReplaceAll(name, " ", "-")+".flac")
			if err := os.WriteFile(path, write(t, form, samples, 1<<15), 0o644); err != nil {
				t.Fatal(err)
			}
			if out, err := exec.Command("flac", "-s", "-w", "-t", path).CombinedOutput(); err != nil {
				t.Errorf("%s: %v: %s", name, err, out)
			}
			raw, err := exec.Command("flac", "-s", "-d", "-c", "--force-raw-format", "--endian=little", "--sign=signed", path).Output()
			if err != nil || !bytes.Equal(raw, samples) {
				t.Errorf("%s: %d of %d bytes come back (%v)", name, len(raw), len(samples), err)
			}
			again := path + ".again"
			if out, err := exec.Command("flac", "-s", "-f", "-5", "--no-padding", "-o", again, path).CombinedOutput(); err != nil {
				t.Fatalf("%v: %s", err, out)
			}
			a, _ := os.Stat(path)
			b, _ := os.Stat(again)
			ours, theirs = ours+a.Size(), theirs+b.Size()
			t.Logf("%-10s %d bits: %7d bytes, flac -5: %7d", name, form.Bits, a.Size(), b.Size())
			if form.Title == "" {
				continue
			}
			chapters, err := exec.Command("ffprobe", "-v", "error", "-show_chapters", "-show_format", path).CombinedOutput()
			if errors.Is(err, exec.ErrNotFound) {
				t.Log("ffprobe is not installed: whether it finds our chapters is not checked")
			} else if out := string(chapters); err != nil || !strings.Contains(out, "TAG:title=rise") || !strings.Contains(out, "start_time=1.000000") ||
				!strings.Contains(out, "TAG:ARTIST=Gull Lane") {
				t.Errorf("ffprobe says %v\n%s", err, out)
			}
		}
	}
	if ours > theirs*5/4 {
		t.Errorf("%d bytes in all, %d by the reference encoder", ours, theirs)
	}
}

func BenchmarkWrite(b *testing.B) {
	form := audio.FileInfo{Rate: 48000, Channels: 1, Bits: 16, Frames: 48000 * 60}
	samples := pcm(sounds["voiced"], form, true)
	b.SetBytes(int64(len(samples)))
	for b.Loop() {
		write(b, form, samples, 1<<16)
	}
	b.ReportMetric(float64(b.N)*60*float64(time.Second)/float64(b.Elapsed()), "x-realtime")
}
