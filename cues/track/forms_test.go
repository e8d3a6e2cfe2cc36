package track

import (
	"bytes"
	"context"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/mewkiz/flac"

	"cuewright/audio/encode"
	"cuewright/audio/loudness"
	"cuewright/cues/phrase"
	"cuewright/plan"
	"cuewright/plan/class"
)

// short is a class of speech, click and count, in some form of samples.
func short(track string) string {
	return fmt.Sprintf("class: Harbour Steps\ncoach: Gull Lane\nunits: km/h\ntrack: {%s}\ncalls: {opening: 12s, closing: 4s}\nmain:\n  - {speed: 8, for: 14s, cadence: 172}\n  - {speed: 9, for: 12s}\n", track)
}

// tracks are those of short that several tests look at, by their form and ending.
var tracks = map[string]string{}

// shortTrack is the file of short in a form, rendered once for all tests, and its class.
func shortTrack(t *testing.T, track, ending string) (string, *class.Class) {
	t.Helper()
	p, _ := plan.Read("x.yaml", []byte(short(track)))
	c, _ := class.Unfold(p)
	path, ok := tracks[track+ending]
	if !ok {
		path = filepath.Join(shared, fmt.Sprintf("%d%s", len(tracks), ending))
		render(t, short(track), path)
		tracks[track+ending] = path
	}
	return path, c
}

func need(t *testing.T, programs ...string) {
	t.Helper()
	for _, p := range programs {
		if _, err := exec.LookPath(p); err != nil {
			t.Skipf("%s is not installed: what it thinks of our files is not checked", p)
		}
	}
}

func output(t *testing.T, command ...string) []byte {
	t.Helper()
	cmd := exec.Command(command[0], command[1:]...)
	var said bytes.Buffer
	cmd.Stderr = &said
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%v: %v: %s", command, err, said.Bytes())
	}
	return out
}

// Decoding a FLAC track gives the samples of the WAV track, in every shape, by a
// decoder that is not ours; one worker writes the same bytes as several.
func TestFLACHoldsTheSamplesOfWAV(t *testing.T) {
	if testing.Short() {
		t.Skip("measures, which the race detector makes ten times as slow")
	}
	dir := t.TempDir()
	for _, shape := range []string{"rate: 48000", "bits: 24, channels: 2", "rate: 44100, channels: 2, silence: noise"} {
		a, _ := shortTrack(t, shape, ".wav")
		b, _ := shortTrack(t, shape, ".flac")
		want := readFile(t, a)
		s, err := flac.Open(b)
		if err != nil {
			t.Fatal(err)
		}
		var got []int32
		for {
			f, err := s.ParseNext()
			if err == io.EOF {
				break
			}
			if err != nil {
				t.Fatal(err)
			}
			for _, sub := range f.Subframes[1:] {
				if !slices.Equal(sub.Samples, f.Subframes[0].Samples) {
					t.Fatal("the channels differ")
				}
			}
			got = append(got, f.Subframes[0].Samples...)
		}
		s.Close()
		if int(s.Info.NChannels) != want.channels || int(s.Info.BitsPerSample) != want.bits || len(got) != len(want.samples) {
			t.Fatalf("%s: %+v and %d samples, want %d", shape, s.Info, len(got), len(want.samples))
		}
		if !slices.Equal(got, want.samples) {
			t.Fatalf("%s: other samples", shape)
		}
		if shape != "rate: 48000" {
			continue // that one worker writes the same is seen in one of them
		}
		for _, path := range []string{a, b} {
			first, _ := os.ReadFile(path)
			alone := filepath.Join(dir, "alone"+filepath.Ext(path))
			old := runtime.GOMAXPROCS(1)
			render(t, short(shape), alone)
			runtime.GOMAXPROCS(old)
			if again, _ := os.ReadFile(alone); !bytes.Equal(first, again) {
				t.Errorf("%s: one worker writes other bytes", path)
			}
		}
	}
}

// What other programs make of the exact forms: they accept them and find the same
// samples.
func TestOthersReadExactForms(t *testing.T) {
	if testing.Short() {
		t.Skip("measures, which the race detector makes ten times as slow")
	}
	for _, shape := range []string{"rate: 48000", "bits: 24, channels: 2"} {
		a, _ := shortTrack(t, shape, ".wav")
		b, _ := shortTrack(t, shape, ".flac")
		f := readFile(t, a)
		file, _ := os.ReadFile(a)
		raw := file[44 : 44+len(f.samples)*f.channels*f.bits/8]
		for name, command := range map[string][]string{
			"flac":    {"flac", "-s", "-d", "-c", "--force-raw-format", "--endian=little", "--sign=signed", b},
			"sox":     {"sox", b, "-t", "raw", "-L", "-"},
			"ffmpeg":  {"ffmpeg", "-v", "error", "-i", b, "-f", fmt.Sprintf("s%dle", f.bits), "-"},
			"python3": {"python3", "-c", "import sys,wave; f=wave.open(sys.argv[1]); sys.stdout.buffer.write(f.readframes(f.getnframes()))", a},
		} {
			t.Run(name, func(t *testing.T) {
				need(t, name)
				if got := output(t, command...); !bytes.Equal(got, raw) {
					t.Errorf("%s reads %d other bytes, want %d", name, len(got), len(raw))
				}
			})
		}
	}
}

// Title, coach and chapters are the same in every form, as ffprobe sees them.
func TestChaptersOfAllForms(t *testing.T) {
	if testing.Short() {
		t.Skip("measures, which the race detector makes ten times as slow")
	}
	need(t, "ffmpeg", "ffprobe")
	var want []string
	for _, form := range Forms() {
		path, c := shortTrack(t, "rate: 48000", "."+string(form))
		var got struct {
			Chapters []struct {
				Start float64 `json:"start_time,string"`
				Tags  struct{ Title string }
			}
		}
		if err := json.Unmarshal(output(t, "ffprobe", "-v", "error", "-of", "json", "-show_chapters", path), &got); err != nil {
			t.Fatal(err)
		}
		var seen []string
		for _, c := range got.Chapters {
			seen = append(seen, fmt.Sprintf("%.3f %s", c.Start, c.Tags.Title))
		}
		if form == WAV {
			for _, m := range allMarkers(c, 48000) {
				want = append(want, fmt.Sprintf("%.3f %s", float64(m.Frame)/48000, m.Label))
			}
		}
		if fmt.Sprint(seen) != fmt.Sprint(want) {
			t.Errorf("%s has the chapters %q, want %q", form, seen, want)
		}
	}
}

// A decoded lossy track peaks where its ceiling of -2 dBTP leaves room for: under
// -1 dBTP, and on time.
func TestPeakOfLossyForms(t *testing.T) {
	if testing.Short() {
		t.Skip("measures, which the race detector makes ten times as slow")
	}
	need(t, "ffmpeg")
	for _, kind := range encode.Kinds() {
		path, _ := shortTrack(t, "rate: 48000", "."+kind)
		raw := output(t, "ffmpeg", "-v", "error", "-i", path, "-map", "0:a:0", "-f", "f32le", "-")
		samples := make([]float32, len(raw)/4)
		binary.Decode(raw, binary.LittleEndian, samples)
		var meter loudness.PeakMeter
		meter.Add(samples)
		peak := 20 * math.Log10(meter.Peak())
		t.Logf("%s: %.2f dBTP decoded", kind, peak)
		if peak > -1 || peak < -4 {
			t.Errorf("%s: %.2f dBTP after decoding", kind, peak)
		}
	}
}

// The ceiling hangs on the form only where the plan leaves it open.
func TestCeiling(t *testing.T) {
	for track, want := range map[string]map[Form]float64{
		"rate: 48000": {WAV: -1, FLAC: -1, "mp3": -2, "m4a": -2, "opus": -2},
		"peak: -1":    {WAV: -1, "mp3": -1},
		"peak: -3.5":  {FLAC: -3.5, "opus": -3.5},
	} {
		for form, peak := range want {
			p, _ := plan.Read("x.yaml", []byte(short(track)))
			if got := form.ceiling(p); got != peak {
				t.Errorf("%s, %s: the ceiling is %v", track, form, got)
			}
		}
	}
	if f, ok := FormOf("a/b.FLAC"); f != FLAC || !ok {
		t.Errorf("b.FLAC is %q", f)
	}
	if f, ok := FormOf("b.ogg"); ok {
		t.Errorf("b.ogg is %q", f)
	}
}

// The broadcast chunk tells what ffmpeg measures on the finished file, a meter that
// shares nothing with ours. Its figures have one decimal.
func TestLoudnessInTheFile(t *testing.T) {
	need(t, "ffmpeg")
	for _, shape := range []string{"bits: 16, channels: 1", "bits: 24, channels: 2, rate: 44100, loudness: -20"} {
		path := filepath.Join(t.TempDir(), "x.wav")
		render(t, strings.Replace(short(shape), "for: 12s", "for: 40s", 1), path) // a range needs a minute
		file, _ := os.ReadFile(path)
		at := bytes.LastIndex(file, []byte("bext"))
		if at < 0 {
			t.Fatal("there is no broadcast chunk")
		}
		// Places by testdata/reference/wav/layout.json.
		field := func(at2 int) float64 { return float64(int16(binary.LittleEndian.Uint16(file[at+8+at2:]))) / 100 }
		cmd := exec.Command("ffmpeg", "-hide_banner", "-nostats", "-i", path, "-af", "ebur128=peak=true", "-f", "null", "-")
		said, err := cmd.CombinedOutput()
		if err != nil {
			t.Fatal(err)
		}
		summary := said[bytes.LastIndex(said, []byte("Summary")):]
		for name, c := range map[string]struct {
			pattern string
			told    float64
		}{
			"loudness":  {`I: +(\S+) LUFS`, field(412)},
			"range":     {`LRA: +(\S+) LU\b`, field(414)},
			"true peak": {`Peak: +(\S+) dBFS`, field(416)},
		} {
			want, _ := strconv.ParseFloat(string(regexp.MustCompile(c.pattern).FindSubmatch(summary)[1]), 64)
			if math.Abs(c.told-want) > 0.15 {
				t.Errorf("%s: %s is told as %.2f, ffmpeg says %.1f", shape, name, c.told, want)
			}
		}
		// ffmpeg tells the momentary loudness every 100 ms, which misses the maximum by
		// up to 0.45 LU (EBU Tech 3341 case 13).
		momentary, shortTerm := math.Inf(-1), math.Inf(-1)
		for _, m := range regexp.MustCompile(`M: *(\S+) S: *(\S+) `).FindAllSubmatch(said, -1) {
			if v, err := strconv.ParseFloat(string(m[1]), 64); err == nil && !math.IsNaN(v) {
				momentary = max(momentary, v)
			}
			if v, err := strconv.ParseFloat(string(m[2]), 64); err == nil && !math.IsNaN(v) {
				shortTerm = max(shortTerm, v)
			}
		}
		if d := field(418) - momentary; d < -0.1 || d > 0.5 {
			t.Errorf("%s: the loudest 400 ms are told as %.2f, ffmpeg says %.1f", shape, field(418), momentary)
		}
		if d := field(420) - shortTerm; d < -0.1 || d > 0.3 {
			t.Errorf("%s: the loudest 3 s are told as %.2f, ffmpeg says %.1f", shape, field(420), shortTerm)
		}
	}
}

// Whoever watches the writing can stop it, in every form.
func TestStopped(t *testing.T) {
	stop := errors.New("stop")
	for _, form := range Forms() {
		if form.Lossy() && !encode.Installed() {
			continue
		}
		p, _ := plan.Read("x.yaml", []byte(short("rate: 48000")))
		c, _ := class.Unfold(p)
		s := demoSpeaker(t, p.Track)
		track := New(s.Schedule(c, phrase.English()), s, form, nil)
		f, err := os.Create(filepath.Join(t.TempDir(), "x"))
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		var last int64
		err = track.Write(context.Background(), f, func(frames int64) error {
			last = frames
			if frames > 48000*10 {
				return stop
			}
			return nil
		})
		if !errors.Is(err, stop) || last >= track.Frames {
			t.Errorf("%s: %v after %d of %d frames", form, err, last, track.Frames)
		}
	}
}
