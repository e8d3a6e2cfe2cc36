package voice

import (
	"fmt"
	"io/fs"
	"math/rand/v2"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"testing/fstest"
	"time"

	"cuewright/audio"
	"cuewright/audio/words"
)

const rate48 audio.Rate = 48000

func open(t testing.TB, fsys fs.FS, opt Options) *Voice {
	t.Helper()
	opt.Rate = rate48
	v, err := Open(fsys, opt)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func (s Sentence) texts() string {
	var out []string
	for _, p := range s.Parts {
		out = append(out, p.Text)
	}
	return strings.Join(out, "|")
}

func TestSpeak(t *testing.T) {
	v := open(t, folder(16000, "speed.wav", "five-to-seven.wav", "five.wav", "to.wav", "seven.wav", "press.wav", "Speed_five.WAV"),
		Options{Tight: []string{"five", "seven"}})
	if v.Len() != 7 || !v.Has("five to SEVEN") || v.Has("speed seven") {
		t.Error(v.Len(), v.Has("five to SEVEN"), v.Has("speed seven"))
	}
	for text, want := range map[string]string{
		"Speed five to seven.":       "speed|five to seven", // not speed five|to|seven
		"speed, five to seven":       "speed|five to seven",
		"five-to. Seven":             "five to seven",
		"seven speed, five":          "seven|speed five",
		"":                           "",
		"faster speed, much faster!": "missing faster much",
	} {
		s, missing := v.Speak(text)
		got := s.texts()
		if missing != nil {
			got = "missing " + strings.Join(missing, " ")
		}
		if got != want {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
	s, _ := v.Speak("press five seven. Speed: seven, press to")
	var pauses []time.Duration
	for _, p := range s.Parts {
		pauses = append(pauses, p.Pause)
	}
	if want := []time.Duration{0, PauseWord, PauseTight, PauseStop, PauseComma, PauseComma, PauseWord}; !slices.Equal(pauses, want) {
		t.Errorf("pauses %v, want %v", pauses, want)
	}
}

// Speech follows speech with the pause wanted, and the length and the times of
// the words hold for every choice of takes.
func TestLay(t *testing.T) {
	fsys := folder(22050, "go.wav", "go.2.wav", "go.3.wav", "press.wav", "press.2.wav", "on-the-mark.wav", "now.wav")
	v := open(t, fsys, Options{})
	const text = "press go, on the mark. now"
	s, missing := v.Speak(text)
	if missing != nil || s.texts() != "press|go|on the mark|now" || s.Parts[1].Takes != 3 || s.Parts[0].Takes != 2 {
		t.Fatalf("%+v, missing %q", s, missing)
	}
	if len(s.Words) != len(words.Of(text)) {
		t.Fatalf("%d words", len(s.Words))
	}
	earliest, latest, longest := make([]int64, 4), make([]int64, 4), int64(0)
	for press := range 2 {
		for goes := range 3 {
			placed := v.Lay(s, func(text string, takes int) int {
				return map[string]int{"press": press, "go": goes}[text]
			})
			if placed[0].Offset != 0 {
				t.Errorf("starts at %d", placed[0].Offset)
			}
			for i, p := range placed {
				speech := p.Offset + p.Clip.Lead
				if i > 0 {
					before := placed[i-1]
					end := before.Offset + int64(len(before.Clip.Samples)) - before.Clip.Tail
					if speech-end != rate48.Frame(s.Parts[i].Pause) {
						t.Errorf("pause of %d frames before %q, want %v", speech-end, p.File, s.Parts[i].Pause)
					}
				}
				if press == 0 && goes == 0 || speech < earliest[i] {
					earliest[i] = speech
				}
				latest[i] = max(latest[i], speech)
			}
			last := placed[3]
			longest = max(longest, last.Offset+int64(len(last.Clip.Samples)))
		}
	}
	if got := rate48.Frame(s.Length); got != longest {
		t.Errorf("length of %d frames, the longest is %d", got, longest)
	}
	for part, word := range []int{0, 1, 2, 5} { // the first word of each part
		if got := s.Words[word]; rate48.Frame(got.Earliest) != earliest[part] || rate48.Frame(got.Latest) != latest[part] {
			t.Errorf("word %d at %v, laid from %d to %d", word, got, earliest[part], latest[part])
		}
	}
	// "on the mark" has 2+3+4 letters.
	last := v.Lay(s, nil)[2]
	on, mark := s.Words[2], s.Words[4]
	if got, want := rate48.Frame(mark.Earliest-on.Earliest), last.Clip.Speech()*5/9; got-want > 1 || want-got > 1 {
		t.Errorf("mark begins %d frames after on, want %d", got, want)
	}
	if last.File != "on-the-mark.wav" {
		t.Errorf("%+v", last)
	}
}

// Takes stand in the order of their numbers, then of their names.
func TestTakes(t *testing.T) {
	fsys := folder(16000, "go.10.wav", "go.2.wav", "GO.wav", "go.wav", "other.wav")
	v := open(t, fsys, Options{Names: map[string]string{"other.wav": "Go!"}})
	s, _ := v.Speak("go")
	var files []string
	for i := range s.Parts[0].Takes {
		files = append(files, v.Lay(s, func(string, int) int { return i })[0].File)
	}
	if want := []string{"GO.wav", "go.wav", "other.wav", "go.2.wav", "go.10.wav"}; !slices.Equal(files, want) {
		t.Errorf("%q", files)
	}
}

// countingFS counts how often each file is opened.
type countingFS struct {
	fstest.MapFS
	opened *sync.Map
}

func (c countingFS) Open(name string) (fs.File, error) {
	n, _ := c.opened.LoadOrStore(name, new(atomic.Int64))
	n.(*atomic.Int64).Add(1)
	return c.MapFS.Open(name)
}

// Sentences spoken at once, prepared or not, read each file once and only those
// they need, and come out the same.
func TestConcurrentSpeak(t *testing.T) {
	var names []string
	for i := range 12 {
		names = append(names, fmt.Sprintf("w%d.wav", i))
	}
	fsys := folder(16000, names...)
	fsys["w3-w4.wav"] = &fstest.MapFile{Data: []byte("no sound")}
	var texts []string
	rng := rand.New(rand.NewPCG(9, 9))
	for range 30 {
		texts = append(texts, fmt.Sprintf("w%d w%d, w3 w4", rng.IntN(10), rng.IntN(10)))
	}
	results := map[bool][]Sentence{}
	for _, prepare := range []bool{false, true} {
		files := countingFS{fsys, new(sync.Map)}
		v := open(t, files, Options{})
		if prepare {
			v.Prepare(texts)
		}
		out := make([]Sentence, len(texts))
		var work sync.WaitGroup
		for i, text := range texts {
			work.Go(func() { out[i], _ = v.Speak(text) })
		}
		work.Wait()
		results[prepare] = out
		files.opened.Range(func(name, n any) bool {
			if count := n.(*atomic.Int64).Load(); count != 1 && name != "." {
				t.Errorf("%s opened %d times", name, count)
			}
			return true
		})
		if _, opened := files.opened.Load("w11.wav"); opened {
			t.Error("w11.wav is not needed")
		}
		if f := v.Faults(); len(f) != 1 || f[0].File != "w3-w4.wav" || !f[0].Unusable {
			t.Errorf("%+v", f)
		}
	}
	if fmt.Sprint(results[false]) != fmt.Sprint(results[true]) {
		t.Error("prepared sentences differ")
	}
	if s := results[true][0]; !strings.HasSuffix(s.texts(), "w3|w4") {
		t.Errorf("%q", s.texts())
	}
}
