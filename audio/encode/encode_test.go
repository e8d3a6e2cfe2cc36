package encode

import (
	"bytes"
	"context"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"cuewright/audio"
)

// need skips a test where a program is not installed.
func need(t *testing.T, programs ...string) {
	t.Helper()
	for _, p := range programs {
		if _, err := exec.LookPath(p); err != nil {
			t.Skipf("%s is not installed: the forms it makes are not checked", p)
		}
	}
}

// clicks are bursts of noise with silence between them, from second to second.
func clicks(rate audio.Rate, seconds int) []int16 {
	r := rand.New(rand.NewPCG(3, 4))
	out := make([]int16, seconds*int(rate))
	for s := range seconds {
		for i := range int(rate) / 20 {
			out[s*int(rate)+int(rate)/3+i] = int16(20000 * math.Exp(-float64(i)/200) * (2*r.Float64() - 1))
		}
	}
	return out
}

func pcm(samples []int16) []byte {
	out, _ := binary.Append(nil, binary.LittleEndian, samples)
	return out
}

func give(b []byte) func(io.Writer) error {
	return func(w io.Writer) error {
		_, err := w.Write(b)
		return err
	}
}

// decoded are the samples of the first channel of a file at a rate.
func decoded(t *testing.T, path string, rate audio.Rate) []int16 {
	t.Helper()
	out, err := exec.Command("ffmpeg", "-v", "error", "-i", path, "-map", "0:a:0", "-ac", "1", "-ar", fmt.Sprint(rate), "-f", "s16le", "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	samples := make([]int16, len(out)/2)
	binary.Decode(out, binary.LittleEndian, samples)
	return samples
}

// lag is by how many samples b comes later than a, where they agree best.
func lag(a, b []int16) int {
	const most = 3000
	var sounds []int // all but a few samples of a are silence
	for i := most; i < min(len(a), len(b))-most; i++ {
		if a[i] != 0 {
			sounds = append(sounds, i)
		}
	}
	best, at := math.Inf(-1), 0
	for l := -most; l <= most; l++ {
		var sum float64
		for _, i := range sounds {
			sum += float64(a[i]) * float64(b[i+l])
		}
		if sum > best {
			best, at = sum, l
		}
	}
	return at
}

// Decoded by a program that follows the standards, every form plays on time. What a
// player that does not read an MP3's own delay does is in the package comment.
func TestOnTime(t *testing.T) {
	if testing.Short() {
		t.Skip("measures, which the race detector makes ten times as slow")
	}
	need(t, "ffmpeg")
	for _, kind := range Kinds() {
		for _, rate := range []audio.Rate{44100, 48000} {
			samples := clicks(rate, 2)
			path := filepath.Join(t.TempDir(), "track."+kind)
			form := audio.FileInfo{Rate: rate, Channels: 1, Bits: 16, Frames: int64(len(samples))}
			if err := File(context.Background(), path, kind, form, give(pcm(samples))); err != nil {
				t.Fatal(err)
			}
			got := decoded(t, path, rate)
			if l := lag(samples, got); l != 0 {
				t.Errorf("%s at %d: %d frames late", kind, rate, l)
			}
			if d := len(got) - len(samples); d < 0 || d > 2048 {
				t.Errorf("%s at %d: %d frames more than there were", kind, rate, d)
			}
		}
	}
}

// The delays that the package comment gives, measured with their cure turned off.
func TestDelays(t *testing.T) {
	if testing.Short() {
		t.Skip("measures, which the race detector makes ten times as slow")
	}
	need(t, "ffmpeg")
	samples := clicks(48000, 3)
	for kind, want := range map[string]struct {
		late    int
		without []string
	}{
		"mp3": {1105, nil},
		"m4a": {1024, []string{"-ignore_editlist", "1"}},
	} {
		path := filepath.Join(t.TempDir(), "track."+kind)
		form := audio.FileInfo{Rate: 48000, Channels: 1, Bits: 16, Frames: int64(len(samples))}
		if err := File(context.Background(), path, kind, form, give(pcm(samples))); err != nil {
			t.Fatal(err)
		}
		if kind == "mp3" {
			// As a player sees it that knows no Info frame.
			file, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			at := bytes.Index(file, []byte("Info"))
			if at < 0 {
				t.Fatal("there is no Info frame")
			}
			file[at] = 'x'
			if err := os.WriteFile(path, file, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		out, err := exec.Command("ffmpeg", append(append([]string{"-v", "error"}, want.without...), "-i", path, "-map", "0:a:0", "-f", "s16le", "-")...).Output()
		if err != nil {
			t.Fatal(err)
		}
		got := make([]int16, len(out)/2)
		binary.Decode(out, binary.LittleEndian, got)
		if l := lag(samples, got); l != want.late {
			t.Errorf("%s without its cure: %d frames late, want %d", kind, l, want.late)
		}
	}
}

// Title, artist and chapters come through, whatever characters they hold.
func TestTexts(t *testing.T) {
	need(t, "ffmpeg", "ffprobe")
	samples := clicks(48000, 4)
	markers := []audio.Marker{{Frame: 0, Label: "opening"}, {Frame: 48000, Label: `a=b;c#d\e [CHAPTER]`}, {Frame: 96048, Label: "Höhe 5 %"}}
	for _, kind := range Kinds() {
		path := filepath.Join(t.TempDir(), "-track:1."+kind) // a name that is no option and no protocol
		form := audio.FileInfo{Rate: 48000, Channels: 1, Bits: 16, Frames: int64(len(samples)), Markers: markers, Title: "Harbour; #1 = é", Artist: "Gull Lane"}
		if err := File(context.Background(), path, kind, form, give(pcm(samples))); err != nil {
			t.Fatal(err)
		}
		out, err := exec.Command("ffprobe", "-v", "error", "-of", "json", "-show_chapters", "-show_format", "-show_streams", "-i", "file:"+path).Output()
		if err != nil {
			t.Fatal(err)
		}
		type tags struct {
			Tags map[string]string
		}
		var got struct {
			Chapters []struct {
				Start float64 `json:"start_time,string"`
				tags
			}
			Format  tags
			Streams []tags
		}
		if err := json.Unmarshal(out, &got); err != nil {
			t.Fatal(err)
		}
		all := got.Format.Tags
		if len(all["title"]) == 0 { // Ogg's texts belong to the stream
			all = got.Streams[0].Tags
		}
		if all["title"] != form.Title || all["artist"] != form.Artist {
			t.Errorf("%s: texts %q", kind, all)
		}
		if len(got.Chapters) != len(markers) {
			t.Fatalf("%s: %d chapters", kind, len(got.Chapters))
		}
		for i, c := range got.Chapters {
			if want := float64(markers[i].Frame) / 48000; math.Abs(c.Start-want) > 0.0005 || c.Tags["title"] != markers[i].Label {
				t.Errorf("%s: chapter %q at %g s, want %q at %g", kind, c.Tags["title"], c.Start, markers[i].Label, want)
			}
		}
	}
}

// The temporary file for ffmpeg is the one that its manual's rules give.
func TestMetadata(t *testing.T) {
	want, err := os.ReadFile("../../testdata/reference/captions/chapters.ffmeta")
	if err != nil {
		t.Fatal(err)
	}
	form := audio.FileInfo{Rate: 48000, Frames: 17280000, Title: "Class #1", Markers: []audio.Marker{{Frame: 0, Label: "Warm-up = easy"}, {Frame: 14400000, Label: "Run 1"}}}
	if got := metadata(form); got != string(want) {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

func TestFailures(t *testing.T) {
	form := audio.FileInfo{Rate: 48000, Channels: 1, Bits: 16, Frames: 48000}
	all := give(make([]byte, 96000))
	path := filepath.Join(t.TempDir(), "track.mp3")
	if err := File(context.Background(), path, "ogg", form, all); err == nil || !strings.Contains(err.Error(), "mp3, m4a, opus") {
		t.Errorf("another kind: %v", err)
	}
	t.Run("none", func(t *testing.T) {
		t.Setenv("PATH", t.TempDir())
		if err := File(context.Background(), path, "mp3", form, all); Installed() || err == nil || !strings.Contains(err.Error(), "ffmpeg does not start") {
			t.Errorf("without ffmpeg: %v", err)
		}
	})
	need(t, "ffmpeg")
	if runtime.GOOS == "linux" {
		big := form
		big.Frames = 48000 * 60
		if err := File(context.Background(), "/dev/full", "mp3", big, give(make([]byte, 2*big.Frames))); err == nil || !strings.Contains(err.Error(), "No space left") {
			t.Errorf("a full disk: %v", err)
		}
	}
	if err := File(context.Background(), filepath.Join(t.TempDir(), "none", "x.mp3"), "mp3", form, all); err == nil || !strings.Contains(err.Error(), "No such file") {
		t.Errorf("a folder that is not there: %v", err)
	}
	broken := errors.New("the mixer broke")
	if err := File(context.Background(), path, "mp3", form, func(io.Writer) error { return broken }); !errors.Is(err, broken) {
		t.Errorf("an error of the samples: %v", err)
	}
	if err := File(context.Background(), path, "mp3", form, give(make([]byte, 95998))); err == nil || !strings.Contains(err.Error(), "95998 of 96000") {
		t.Errorf("a frame too few: %v", err)
	}
	ctx, cancel := context.WithTimeout(context.Background(), 300*time.Millisecond)
	defer cancel()
	err := File(ctx, path, "mp3", form, func(w io.Writer) error {
		for {
			if _, err := w.Write(make([]byte, 4096)); err != nil {
				return err
			}
		}
	})
	if !errors.Is(err, context.DeadlineExceeded) {
		t.Errorf("at the end of its time: %v", err)
	}
}
