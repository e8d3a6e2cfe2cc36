package verify_test

import (
	"bytes"
	"context"
	"encoding/binary"
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"cuewright/audio/bed"
	"cuewright/cues"
	"cuewright/cues/phrase"
	"cuewright/cues/track"
	"cuewright/cues/verify"
	"cuewright/cues/verify/recording"
	"cuewright/cues/verify/report"
	"cuewright/plan"
	"cuewright/plan/class"
	"cuewright/plan/problem"
	"cuewright/samples"
)

// TestMain keeps the property short: each check renders a track and listens to it.
func TestMain(m *testing.M) {
	flag.Parse()
	if f := flag.Lookup("rapid.checks"); f.Value.String() == f.DefValue {
		f.Value.Set("8")
	}
	os.Exit(m.Run())
}

type fataler interface {
	Fatal(...any)
	Fatalf(string, ...any)
	Helper()
}

// demoVoices are the demo voice prepared for a rate.
var demoVoices = map[int]*track.Speaker{}

// render makes the track of a plan and the list that it promises.
func render(t fataler, text, path string) *cues.List { return renderOver(t, text, path, nil) }

// renderOver does so over music, in the form that path asks for.
func renderOver(t fataler, text, path string, music *bed.Bed) *cues.List {
	t.Helper()
	p, problems := plan.Read("x.yaml", []byte(text))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	c, _ := class.Unfold(p)
	rate := p.Track.Rate.Value
	if demoVoices[rate] == nil {
		s, err := track.OpenSpeaker(context.Background(), samples.Voice(), phrase.English(), p.Track, "")
		if err != nil {
			t.Fatal(err)
		}
		demoVoices[rate] = s
	}
	s := demoVoices[rate].Another()
	l := s.Schedule(c, phrase.English())
	if problem.HasErrors(l.Problems) {
		t.Fatal(l.Problems)
	}
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	form, _ := track.FormOf(path)
	if err := track.New(l, s, form, music).Write(context.Background(), f, nil); err != nil {
		t.Fatal(err)
	}
	return l
}

// demoCrest is about that of the demo voice, in dB.
const demoCrest = 17

func hear(t fataler, path string, l *cues.List) *report.Report {
	t.Helper()
	rec, err := recording.Open(context.Background(), path)
	if err != nil {
		t.Fatal(err)
	}
	r, err := verify.Listen(context.Background(), rec, l, demoCrest)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func text(r *report.Report) string {
	var b strings.Builder
	r.Write(&b)
	return b.String()
}

// mustHold fails where a track that was rendered does not verify.
func mustHold(t fataler, r *report.Report) {
	t.Helper()
	if !r.Right {
		t.Fatalf("a track as it was rendered fails:\n%s", text(r))
	}
}

// Every form a plan can ask for verifies.
func TestForms(t *testing.T) {
	const class = `class: Harbour Steps
units: km/h
warm-up: [{speed: 6, for: 15s}]
main: [{speed: 9, cadence: 171.5, for: 22s}]
cool-down: [{speed: 5, for: 14s}]
`
	for _, form := range []string{
		"calls: {count: {with: words}}",
		"calls: {count: {with: both}}",
		"calls: {count: {from: 3}}\ntrack: {rate: 44100}",
		"calls: {count: {with: both}}\ntrack: {rate: 44100, bits: 24, channels: 2}",
		"track: {channels: 2}",
		"track: {bits: 24}",
		"track: {silence: noise}",
		"track: {silence: noise, bits: 24, rate: 44100}",
		"track: {loudness: -10}",
		"track: {loudness: -30}",
		"click: {when: never}",
		"click: {feet: alike, level: -30}",
		"click: {level: -6}",
	} {
		t.Run(form, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "x.wav")
			r := hear(t, path, render(t, class+form+"\n", path))
			mustHold(t, r)
			for _, c := range r.Checks {
				if c.Name == "tones" && c.Heard < c.Due/2 {
					t.Errorf("only %d of %d tones could be measured", c.Heard, c.Due)
				}
				if c.Name == "clicks" && c.Heard < c.Due/2 {
					t.Errorf("only %d of %d clicks could be measured", c.Heard, c.Due)
				}
			}
		})
	}
}

// Whatever small plan is rendered, its track verifies; against the plan of a
// longer class it does not.
func TestRenderedTracksVerify(t *testing.T) {
	dir := t.TempDir()
	rapid.Check(t, func(t *rapid.T) {
		var b strings.Builder
		fmt.Fprintf(&b, "class: Harbour Steps\nunits: km/h\nmain:\n")
		for range rapid.IntRange(1, 3).Draw(t, "segments") {
			fmt.Fprintf(&b, "  - {speed: %.1f, for: %dms", float64(rapid.IntRange(30, 150).Draw(t, "speed"))/10, rapid.IntRange(12000, 30000).Draw(t, "for"))
			if rapid.Bool().Draw(t, "stepped") {
				fmt.Fprintf(&b, ", cadence: %.1f", float64(rapid.IntRange(1400, 2000).Draw(t, "cadence"))/10)
			}
			fmt.Fprintln(&b, "}")
		}
		fmt.Fprintf(&b, "calls: {count: {from: %d, with: %s}}\n", rapid.IntRange(3, 5).Draw(t, "from"), rapid.SampledFrom([]string{"beeps", "words", "both"}).Draw(t, "with"))
		fmt.Fprintf(&b, "track: {rate: %d, bits: %d, channels: %d, silence: %s}\n", rapid.SampledFrom([]int{44100, 48000}).Draw(t, "rate"),
			rapid.SampledFrom([]int{16, 24}).Draw(t, "bits"), rapid.IntRange(1, 2).Draw(t, "channels"), rapid.SampledFrom([]string{"zero", "noise"}).Draw(t, "silence"))
		path := filepath.Join(dir, "x.wav")
		mustHold(t, hear(t, path, render(t, b.String(), path)))
	})
}

// samplesOf is a rendered WAV file, and the part of it that holds the samples.
func samplesOf(t *testing.T, path string) (file, samples []byte) {
	t.Helper()
	file, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return file, file[44 : 44+binary.LittleEndian.Uint32(file[40:])]
}

// A renderer that puts every click one frame late is caught, though all clicks
// agree with each other.
func TestLateClicks(t *testing.T) {
	const class = "class: Harbour Steps\nunits: km/h\nmain: [{speed: 9, cadence: 160, for: 40s}]\n"
	path := filepath.Join(t.TempDir(), "x.wav")
	l := render(t, class, path)
	b, samples := samplesOf(t, path)
	// At 160 steps a minute a click is 18000 frames after the one before, from the
	// start of the segment at 20 s; where it stands in silence it can be moved.
	moved := 0
	for k := 1; k*18000 < 40*48000; k++ {
		at := 2 * (20*48000 + k*18000)
		click := samples[at-20 : at+2*2400+20]
		if strings.Trim(string(click[:20]), "\x00") == "" && strings.Trim(string(click[len(click)-20:]), "\x00") == "" {
			copy(click[2:], append([]byte(nil), click[:len(click)-2]...))
			moved++
		}
	}
	if moved < 50 {
		t.Fatalf("only %d clicks could be moved", moved)
	}
	if err := os.WriteFile(path, b, 0o600); err != nil {
		t.Fatal(err)
	}
	r := hear(t, path, l)
	if got := text(r); r.Right || !strings.Contains(got, "1 frame (0.021 ms) late") {
		t.Errorf("not named:\n%s", got)
	}
}

// A click that begins 20 ms into a beep (step 27 at 147 a minute, a second before the
// change) makes the beep no shorter; a beep cut by 10 ms is found.
func TestLengths(t *testing.T) {
	const class = `class: Harbour Steps
units: km/h
main: [{speed: 13, cadence: 147, for: 12006ms}, {speed: 13, for: 27s}]
calls: {count: {from: 4, with: beeps}}
`
	path := filepath.Join(t.TempDir(), "x.wav")
	l := render(t, class, path)
	mustHold(t, hear(t, path, l))
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	at := 44 + 2*(20+12+26)*48000 + 2*288 // the beep of "one" before the last change
	clear(b[at+2*90*48 : at+2*100*48])
	if err := os.WriteFile(path, b, 0o600); err != nil {
		t.Fatal(err)
	}
	r := hear(t, path, l)
	if got := text(r); r.Right || !strings.Contains(got, `the beep of "one" lasts `) {
		t.Errorf("not named:\n%s", got)
	}
}

// A track that was turned down but for its highest peak is not held down by the
// ceiling; one that asks for more than the ceiling gives is.
func TestSoft(t *testing.T) {
	const class = "class: Harbour Steps\nunits: km/h\nmain: [{speed: 9, for: 40s}, {speed: 11, for: 40s}]\n"
	path := filepath.Join(t.TempDir(), "x.wav")
	l := render(t, class, path)
	mustHold(t, hear(t, path, l))
	b, samples := samplesOf(t, path)
	at := func(i int) float64 { return float64(int16(binary.LittleEndian.Uint16(samples[2*i:]))) }
	highest := 0
	for i := range len(samples) / 2 {
		if math.Abs(at(i)) > math.Abs(at(highest)) {
			highest = i
		}
	}
	for _, gain := range []float64{0.5, 0.85} {
		spoiled := bytes.Clone(b)
		for i := range len(samples) / 2 {
			if i < highest-12_000 || i > highest+12_000 {
				binary.LittleEndian.PutUint16(spoiled[44+2*i:], uint16(int16(math.Round(gain*at(i)))))
			}
		}
		if err := os.WriteFile(path, spoiled, 0o600); err != nil {
			t.Fatal(err)
		}
		r := hear(t, path, l)
		if got := text(r); r.Right || !strings.Contains(got, "LU softer than the plan wants") {
			t.Errorf("at a gain of %v:\n%s", gain, got)
		}
	}
	l = render(t, class+"track: {loudness: -9}\n", path)
	r := hear(t, path, l)
	mustHold(t, r)
	if got := text(r); !strings.Contains(got, "held down by the peak") {
		t.Errorf("a track that is held:\n%s", got)
	}
}
