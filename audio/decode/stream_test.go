package decode

import (
	"bytes"
	"context"
	"cuewright/audio"
	"cuewright/audio/ffmpeg"
	"errors"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// readStream reads a file as a stream, in blocks of odd sizes.
func readStream(path string) (audio.Clip, error) {
	s, err := Open(context.Background(), path)
	if err != nil {
		return audio.Clip{}, err
	}
	defer s.Close()
	clip := audio.Clip{Rate: s.Rate, Channels: s.Channels}
	rng := rand.New(rand.NewPCG(1, 2))
	for {
		block := make([]float32, s.Channels+rng.IntN(5000))
		n, err := s.Read(block)
		if n%s.Channels != 0 {
			return clip, fmt.Errorf("%d samples are no whole frames", n)
		}
		clip.Samples = append(clip.Samples, block[:n]...)
		if err == io.EOF {
			return clip, nil
		}
		if err != nil {
			return clip, err
		}
	}
}

// same compares a stream with the whole of the same file.
func same(t *testing.T, name string, stream, whole audio.Clip) {
	t.Helper()
	if stream.Rate != whole.Rate || stream.Channels != whole.Channels || !slices.Equal(stream.Samples, whole.Samples) {
		t.Errorf("%s: a stream of %d samples (%d Hz, %d channels), the whole has %d (%d Hz, %d channels), or others",
			name, len(stream.Samples), stream.Rate, stream.Channels, len(whole.Samples), whole.Rate, whole.Channels)
	}
}

// TestStreamOfCases: every file that is read without a reservation is the same as a
// stream, and one that is not read is no stream or ends in an error.
func TestStreamOfCases(t *testing.T) {
	compared := map[string]int{}
	for _, kind := range []string{"wav", "mp3", "flac"} {
		files, _ := filepath.Glob("../../testdata/cases/" + kind + "/*." + kind)
		for _, path := range files {
			data, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			whole, wholeErr := Any(t.Context(), path, data)
			stream, err := readStream(path)
			switch {
			case wholeErr == nil && len(whole.Warnings) == 0:
				if err != nil {
					t.Errorf("%s: %v", path, err)
				}
				same(t, path, stream, whole)
				compared[kind]++
			case wholeErr != nil && err == nil && len(stream.Samples) > 0:
				t.Errorf("%s: a stream of %d samples, the whole is refused: %v", path, len(stream.Samples), wholeErr)
			}
		}
	}
	for kind, least := range map[string]int{"wav": 8, "mp3": 3, "flac": 1} {
		if compared[kind] < least {
			t.Errorf("only %d files of %s were compared", compared[kind], kind)
		}
	}
}

// made encodes five seconds of two-sided noise and tones with a tool, or skips.
func made(t *testing.T, ending string, command ...string) string {
	t.Helper()
	if _, err := exec.LookPath(command[0]); err != nil {
		t.Skip(command[0], "is not installed")
	}
	rng := rand.New(rand.NewPCG(4, 4))
	raw := make([]byte, 0, 4*44100*5)
	for i := range 44100 * 5 {
		loud := 3000 * (1 + math.Sin(float64(i)/30000))
		for c := range 2 {
			v := int16(loud*(math.Sin(float64(i*(c+2))*0.03)) + loud*(rng.Float64()-0.5))
			raw = append(raw, byte(v), byte(v>>8))
		}
	}
	in, out := filepath.Join(t.TempDir(), "in.raw"), filepath.Join(t.TempDir(), "out."+ending)
	if err := os.WriteFile(in, raw, 0o600); err != nil {
		t.Fatal(err)
	}
	for i, a := range command {
		command[i] = strings.NewReplacer("IN", in, "OUT", out).Replace(a)
	}
	if said, err := exec.Command(command[0], command[1:]...).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, said)
	}
	return out
}

// TestStreamOfLongFiles: files of several windows and blocks, from other encoders.
func TestStreamOfLongFiles(t *testing.T) {
	if testing.Short() {
		t.Skip("measures, which the race detector makes ten times as slow")
	}
	lame := []string{"lame", "--quiet", "-r", "-s", "44.1"}
	ffmpeg := []string{"ffmpeg", "-v", "error", "-f", "s16le", "-ac", "2", "-ar", "44100", "-i", "IN"}
	for name, c := range map[string]struct {
		ending  string
		command []string
	}{
		"mp3 of 128 kbit/s":        {"mp3", append(slices.Clone(lame), "-b", "128", "IN", "OUT")},
		"mp3 of 320 kbit/s":        {"mp3", append(slices.Clone(lame), "-b", "320", "IN", "OUT")},
		"mp3 of varying rate":      {"mp3", append(slices.Clone(lame), "-V", "4", "IN", "OUT")},
		"mp3 of 22 kHz, 64 kbit/s": {"mp3", append(slices.Clone(lame), "--resample", "22.05", "-b", "64", "-m", "m", "IN", "OUT")},
		"mp3 without a tag":        {"mp3", append(slices.Clone(lame), "-t", "-b", "256", "IN", "OUT")},
		"flac":                     {"flac", append(slices.Clone(ffmpeg), "OUT")},
		"m4a":                      {"m4a", append(slices.Clone(ffmpeg), "-b:a", "128k", "OUT")},
	} {
		t.Run(name, func(t *testing.T) {
			path := made(t, c.ending, c.command...)
			data, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			whole, err := Any(t.Context(), path, data)
			if err != nil {
				t.Fatal(err)
			}
			stream, err := readStream(path)
			if err != nil {
				t.Fatal(err)
			}
			same(t, name, stream, whole)
			if seconds := len(stream.Samples) / stream.Channels / int(stream.Rate); seconds < 4 {
				t.Errorf("only %d s came out", seconds)
			}
		})
	}
}

// TestStreamTags: a picture in front, larger than what is looked at, and a tag that
// claims more than the file holds.
func TestStreamTags(t *testing.T) {
	sound, err := os.ReadFile("../../testdata/cases/mp3/two_id3v2_tags.mp3")
	if err != nil {
		t.Fatal(err)
	}
	whole, err := Bytes("", sound)
	if err != nil {
		t.Fatal(err)
	}
	lie := id3([]byte("x"))
	lie[6] = 0x7F
	for name, tag := range map[string][]byte{"picture": id3(make([]byte, 300_000)), "lie": lie} {
		path := filepath.Join(t.TempDir(), "clip")
		if err := os.WriteFile(path, append(tag, sound...), 0o600); err != nil {
			t.Fatal(err)
		}
		stream, err := readStream(path)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		same(t, name, stream, whole)
	}
}

// TestStreamFaults: what cannot be read says so, and a cut file gives its sound
// first.
func TestStreamFaults(t *testing.T) {
	dir := t.TempDir()
	write := func(name string, data []byte) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, data, 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	var foreign *ForeignError
	if _, err := readStream(write("text", []byte("some text, no sound"))); !errors.As(err, &foreign) {
		t.Errorf("text: %v", err)
	}
	if _, err := readStream(write("empty", nil)); err == nil || !strings.Contains(err.Error(), "empty") {
		t.Errorf("empty: %v", err)
	}
	if _, err := readStream(dir); err == nil || !strings.Contains(err.Error(), "no file") {
		t.Errorf("folder: %v", err)
	}
	if ffmpeg.Installed() {
		if _, err := readStream(write("cut.m4a", []byte("\x00\x00\x00\x18ftypM4A \x00\x00\x00\x00"))); err == nil || !strings.Contains(err.Error(), "ffmpeg cannot read it") {
			t.Errorf("m4a: %v", err)
		}
	}
	flac, _ := filepath.Glob("../../testdata/cases/flac/*.flac")
	for _, path := range flac {
		data, _ := os.ReadFile(path)
		whole, err := Bytes("", data)
		if err != nil || len(whole.Warnings) > 0 || len(data) < 100 {
			continue
		}
		stream, err := readStream(write("cut.flac", data[:len(data)-10]))
		if err == nil || len(stream.Samples) == 0 || !slices.Equal(stream.Samples, whole.Samples[:len(stream.Samples)]) {
			t.Errorf("%s, cut: %d samples, %v", path, len(stream.Samples), err)
		}
	}
}

// FuzzStream reads whatever files say in blocks, and compares what is read without
// a reservation with the whole.
func FuzzStream(f *testing.F) {
	for _, kind := range []string{"wav/*.wav", "mp3/*.mp3", "flac/*.flac", "made/*"} {
		files, _ := filepath.Glob(filepath.Join(cases, kind))
		for _, path := range files {
			if data, err := os.ReadFile(path); err == nil && len(data) < 20_000 {
				f.Add(data)
			}
		}
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		file, size := bytes.NewReader(data), int64(len(data))
		body, head, err := beginning(file, size)
		if err != nil {
			t.Fatal(err)
		}
		whole, wholeErr := Bytes("clip", data)
		s, err := native(file, size, body, head)
		if err != nil {
			return
		}
		var samples []float32
		block := make([]float32, 4096)
		for err == nil && len(samples) < 4_000_000 {
			var n int
			n, err = s.Read(block)
			samples = append(samples, block[:n]...)
		}
		if wholeErr == nil && len(whole.Warnings) == 0 && err == io.EOF && !slices.Equal(samples, whole.Samples) {
			t.Errorf("a stream of %d samples, the whole has %d, or others", len(samples), len(whole.Samples))
		}
	})
}
