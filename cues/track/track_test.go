package track

import (
	"bytes"
	"context"
	"encoding/binary"
	"encoding/csv"
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"cuewright/cues/phrase"
	"cuewright/plan"
	"cuewright/plan/class"
	"cuewright/plan/problem"
	"cuewright/plan/settings"
	"cuewright/samples"
)

// A file is a WAV file read strictly and by hand: this test shares nothing with
// the code that wrote it.
type file struct {
	rate, channels, bits int
	samples              []int32 // of the first channel
	labels               map[uint32]string
	marks                map[uint32]string // label by frame
	info                 map[string]string
}

func readFile(t fataler, path string) file {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	le := binary.LittleEndian
	if string(b[:4]) != "RIFF" || string(b[8:12]) != "WAVE" || int(le.Uint32(b[4:])) != len(b)-8 {
		t.Fatalf("the head is %q of size %d in a file of %d bytes", b[:12], le.Uint32(b[4:]), len(b))
	}
	f := file{labels: map[uint32]string{}, marks: map[uint32]string{}, info: map[string]string{}}
	positions := map[uint32]uint32{}
	walk(t, b[12:], func(id string, body []byte) {
		switch id {
		case "fmt ":
			if le.Uint16(body) != 1 {
				t.Fatalf("format tag %d", le.Uint16(body))
			}
			f.channels, f.rate, f.bits = int(le.Uint16(body[2:])), int(le.Uint32(body[4:])), int(le.Uint16(body[14:]))
		case "data":
			width := f.channels * f.bits / 8
			f.samples = make([]int32, 0, len(body)/width)
			for i := 0; i+width <= len(body); i += width {
				if f.bits == 16 {
					f.samples = append(f.samples, int32(int16(le.Uint16(body[i:]))))
				} else {
					f.samples = append(f.samples, int32(uint32(body[i])<<8|uint32(body[i+1])<<16|uint32(body[i+2])<<24)>>8)
				}
				if f.channels == 2 && !bytes.Equal(body[i:i+width/2], body[i+width/2:i+width]) {
					t.Fatalf("the channels differ at byte %d", i)
				}
			}
		case "cue ":
			for i := range int(le.Uint32(body)) {
				p := body[4+24*i:]
				positions[le.Uint32(p)] = le.Uint32(p[20:])
			}
		case "LIST":
			walk(t, body[4:], func(id string, text []byte) {
				if string(body[:4]) == "adtl" {
					f.labels[le.Uint32(text)] = strings.TrimRight(string(text[4:]), "\x00")
				} else {
					f.info[id] = strings.TrimRight(string(text), "\x00")
				}
			})
		}
	})
	for id, frame := range positions {
		f.marks[frame] = f.labels[id]
	}
	return f
}

func walk(t fataler, b []byte, chunk func(id string, body []byte)) {
	for len(b) > 0 {
		if len(b) < 8 {
			t.Fatalf("%d bytes that are no chunk", len(b))
		}
		id, n := string(b[:4]), int(binary.LittleEndian.Uint32(b[4:]))
		if n+n%2 > len(b)-8 {
			t.Fatalf("the chunk %q of %d bytes does not fit or has no pad byte", id, n)
		}
		chunk(id, b[8:8+n])
		b = b[8+n+n%2:]
	}
}

// fataler is what *testing.T and *rapid.T have in common here.
type fataler interface {
	Fatal(...any)
	Fatalf(string, ...any)
	Helper()
}

// TestMain keeps the properties over rendered files short: each check writes one.
func TestMain(m *testing.M) {
	flag.Parse()
	if f := flag.Lookup("rapid.checks"); f.Value.String() == f.DefValue {
		f.Value.Set("25")
	}
	var err error
	if shared, err = os.MkdirTemp("", "cuewright-track-"); err != nil {
		panic(err)
	}
	code := m.Run()
	os.RemoveAll(shared)
	os.Exit(code)
}

// shared is a folder for files that several tests look at.
var shared string

// demoVoices are the demo voice prepared for a rate, so that each test does not
// decode it anew.
var demoVoices = map[int]*Speaker{}

func demoSpeaker(t fataler, track settings.Track) *Speaker {
	t.Helper()
	rate := track.Rate.Value
	if demoVoices[rate] == nil {
		s, err := OpenSpeaker(context.Background(), samples.Voice(), phrase.English(), track, "")
		if err != nil {
			t.Fatal(err)
		}
		demoVoices[rate] = s
	}
	return demoVoices[rate].Another()
}

// render takes a plan all the way to a file, in the form of its ending.
func render(t fataler, text, path string) *class.Class {
	t.Helper()
	p, problems := plan.Read("x.yaml", []byte(text))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	c, _ := class.Unfold(p)
	s := demoSpeaker(t, p.Track)
	l := s.Schedule(c, phrase.English())
	if problem.HasErrors(l.Problems) {
		t.Fatal(l.Problems)
	}
	out, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer out.Close()
	form, _ := FormOf(path)
	if err := New(l, s, form, nil).Write(context.Background(), out, nil); err != nil {
		t.Fatal(err)
	}
	return c
}

// nearest is the frame of a time by exact arithmetic other than the program's.
func nearest(t time.Duration, rate int) int {
	ms := int64(t / time.Millisecond) // plans are in whole milliseconds
	return int((2*ms*int64(rate) + 1000) / 2000)
}

// TestFrames: the file has exactly opening, segments and closing, in any rate,
// and every segment has its marker on its frame.
func TestFrames(t *testing.T) {
	dir := t.TempDir()
	rapid.Check(t, func(t *rapid.T) {
		rate := rapid.SampledFrom([]int{16000, 22050, 44100, 48000}).Draw(t, "rate")
		channels := rapid.IntRange(1, 2).Draw(t, "channels")
		bits := rapid.SampledFrom([]int{16, 24}).Draw(t, "bits")
		opening := rapid.IntRange(8000, 9000).Draw(t, "opening")
		closing := rapid.IntRange(1000, 2000).Draw(t, "closing")
		length := opening + closing
		text := fmt.Sprintf("class: X\nunits: km/h\ntrack: {rate: %d, channels: %d, bits: %d}\ncalls: {opening: %dms, closing: %dms}\nmain:\n",
			rate, channels, bits, opening, closing)
		start := opening
		want := map[uint32]string{0: "opening"}
		for range rapid.IntRange(1, 4).Draw(t, "segments") {
			ms := rapid.IntRange(3000, 5000).Draw(t, "ms")
			text += fmt.Sprintf("  - {speed: %d, for: %dms}\n", rapid.IntRange(5, 9).Draw(t, "speed"), ms)
			want[uint32(nearest(time.Duration(start)*time.Millisecond, rate))] = "main"
			start += ms
			length += ms
		}
		want[uint32(nearest(time.Duration(start)*time.Millisecond, rate))] = "closing"
		path := filepath.Join(dir, "x.wav")
		render(t, text, path)
		f := readFile(t, path)
		if f.rate != rate || f.channels != channels || f.bits != bits {
			t.Fatalf("%d Hz, %d channels, %d bits", f.rate, f.channels, f.bits)
		}
		if n := nearest(time.Duration(length)*time.Millisecond, rate); len(f.samples) != n {
			t.Fatalf("%d frames, want %d", len(f.samples), n)
		}
		if fmt.Sprint(f.marks) != fmt.Sprint(want) {
			t.Fatalf("markers %v, want %v", f.marks, want)
		}
	})
}

// TestChangeTones: every change's tone begins on the frame of its change, with
// digital silence before it and sound within half a millisecond after it, and
// lies nowhere better than there against a sine of 1 kHz.
func TestChangeTones(t *testing.T) {
	for _, rate := range []int{44100, 48000} {
		path := filepath.Join(t.TempDir(), "x.wav")
		text := fmt.Sprintf("class: X\nunits: km/h\ntrack: {rate: %d}\nmain:\n", rate)
		for i, ms := range []int{14000, 12347, 15001, 14013, 20999} {
			text += fmt.Sprintf("  - {speed: %d, for: %dms}\n", 6+i, ms)
		}
		c := render(t, text, path)
		f := readFile(t, path)
		walls := []time.Duration{c.Length}
		for _, s := range c.Segments {
			walls = append(walls, s.Start)
		}
		for _, wall := range walls {
			at := nearest(c.Opening+wall, rate)
			checkOnset(t, f, at, 500*time.Millisecond)
			for k := 1; k <= 5; k++ {
				checkOnset(t, f, nearest(c.Opening+wall-time.Duration(k)*time.Second, rate), 100*time.Millisecond)
			}
		}
	}
}

// checkOnset looks for a tone of 1 kHz that begins on a frame.
func checkOnset(t *testing.T, f file, at int, length time.Duration) {
	t.Helper()
	for i := at - f.rate/50; i < at; i++ {
		if f.samples[i] != 0 {
			t.Errorf("%d Hz: sample %d, %d frames before the tone at %d, is %d", f.rate, i, at-i, at, f.samples[i])
			return
		}
	}
	loud := false
	for _, x := range f.samples[at : at+f.rate/2000] {
		loud = loud || x > 100 || x < -100
	}
	if !loud {
		t.Errorf("%d Hz: no sound within half a millisecond of frame %d", f.rate, at)
	}
	// The lag of the best match must be 0. The tone is a cosine; over whole periods
	// it matches itself, so the ends of the template decide: two periods either way
	// are looked at.
	n := nearest(length, f.rate)
	best, bestLag := math.Inf(-1), 0
	for lag := -f.rate / 500; lag <= f.rate/500; lag++ {
		sum := 0.0
		for i := range n {
			sum += float64(f.samples[at+lag+i]) * math.Cos(2*math.Pi*1000*float64(i)/float64(f.rate))
		}
		if sum > best {
			best, bestLag = sum, lag
		}
	}
	if bestLag != 0 {
		t.Errorf("%d Hz: the tone at %d matches best %d frames later", f.rate, at, bestLag)
	}
	if after := f.samples[at+n]; after != 0 {
		t.Errorf("%d Hz: the tone at %d goes on after %v", f.rate, at, length)
	}
}

// TestClicks finds clicks where the published beat mathematics puts them: the
// vectors of testdata/reference/metronome/segment_start_beats.csv, in the column
// for starts that are rounded first.
func TestClicks(t *testing.T) {
	in, err := os.Open("../../testdata/reference/metronome/segment_start_beats.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer in.Close()
	rows, err := csv.NewReader(in).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	files := map[string]file{}
	checked := 0
	for _, row := range rows[1:] {
		rate, _ := strconv.Atoi(row[0])
		start, _ := strconv.ParseFloat(row[1], 64)
		cadence := row[2]
		k, _ := strconv.Atoi(row[3])
		frame, _ := strconv.Atoi(row[6])
		key := fmt.Sprint(rate, start, cadence)
		f, ok := files[key]
		if !ok {
			path := filepath.Join(t.TempDir(), "x.wav")
			// Nothing but clicks around the first beats: the name of the effort cannot
			// be said and the length is no whole number of seconds.
			render(t, fmt.Sprintf("class: X\nunits: km/h\ntrack: {rate: %d}\ncalls: {reminders: 0s, confirm: none}\nmain:\n"+
				"  - {speed: 8, for: %dms}\n  - {effort: zzz, for: 30001ms}\nefforts:\n  zzz: {speed: 9, cadence: %s}\n",
				rate, int(math.Round(start*1000)), cadence), path)
			f = readFile(t, path)
			files[key] = f
		}
		at := 20*rate + frame // after an opening of 20 s
		// The tone of the change sounds over beat 1; a later beat stands in silence.
		if k > 1 {
			for i := at - rate/100; i < at; i++ {
				if f.samples[i] != 0 {
					t.Errorf("%v: sample %d before the click is %d", row, i-at, f.samples[i])
					break
				}
			}
			loud := int32(0)
			for _, x := range f.samples[at : at+rate/1000] {
				loud = max(loud, x, -x)
			}
			if loud < 100 {
				t.Errorf("%v: the loudest sample of the click's first millisecond is %d", row, loud)
			}
			checked++
		}
	}
	if checked < 12 {
		t.Errorf("only %d clicks were checked", checked)
	}
}

// TestSameBytes: one worker and many write the same file.
func TestSameBytes(t *testing.T) {
	text := `class: Harbour Steps
coach: Gull Lane
units: km/h
efforts:
  rise: {speed: [8, 11], incline: 3, cadence: 172}
main:
  - {speed: 8, incline: 1, for: 60s}
  - sets: 2
    segments: [{effort: rise, for: 45s}]
`
	var first []byte
	for _, workers := range []int{1, 2, 5} {
		before := runtime.GOMAXPROCS(workers)
		path := filepath.Join(t.TempDir(), "x.wav")
		render(t, text, path)
		runtime.GOMAXPROCS(before)
		got, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if first == nil {
			first = got
		}
		if !bytes.Equal(first, got) {
			t.Errorf("%d workers write other bytes", workers)
		}
	}
	f := readFile(t, writeTemp(t, first))
	if f.info["INAM"] != "Harbour Steps" || f.info["IART"] != "Gull Lane" {
		t.Errorf("INFO is %v", f.info)
	}
	if got := f.marks[uint32(48000*(20+60))]; got != "rise, set 1 of 2" {
		t.Errorf("the marker at 1:00 is %q", got)
	}
}

func writeTemp(t *testing.T, data []byte) string {
	path := filepath.Join(t.TempDir(), "copy.wav")
	if err := os.WriteFile(path, data, 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}
