package voice

import (
	"cuewright/audio"
	"cuewright/audio/speech/speechtest"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"testing/fstest"
)

// Where clips of a quiet room meet, nothing is heard above 5 kHz.
func TestJoinsAreClean(t *testing.T) {
	fsys := fstest.MapFS{}
	for i, name := range []string{"a", "b", "c"} {
		rng := rand.New(rand.NewPCG(uint64(i), 14))
		w := speechtest.Say(48000, 110+20*float64(i), rng, speechtest.Hum, speechtest.Vowel(300, 700, 1200, 2500), speechtest.Hum)
		x := w.Padded(0.3, 0.3)
		speechtest.Add(x, speechtest.Noise(len(x), 1e-5, rng), 0)
		for j := range x {
			x[j] += 0.02 // of DC
		}
		fsys[name+".wav"] = &fstest.MapFile{Data: speechtest.WAV(48000, x)}
	}
	v := open(t, fsys, Options{Tight: []string{"a", "b"}})
	s, _ := v.Speak("a b c, a. b")
	mix := make([]float64, rate48.Frame(s.Length)+9600)
	var joins []int64
	for _, p := range v.Lay(s, nil) {
		speechtest.Add(mix, wide(p.Clip.Samples), int(p.Offset)+4800)
		joins = append(joins, p.Offset, p.Offset+int64(len(p.Clip.Samples)))
	}
	for range 3 {
		audio.HighPass(48000, 5000).FiltFilt(mix)
	}
	for _, j := range joins {
		for i := j + 4800 - 240; i < j+4800+240; i++ { // 5 ms on both sides
			if db := 20 * math.Log10(math.Abs(mix[i])); db > -70 {
				t.Fatalf("%.1f dBFS at the join at %d", db, j)
			}
		}
	}
}

func TestFaults(t *testing.T) {
	t.Setenv("PATH", "") // without ffmpeg
	fsys := folder(16000, "good.wav", "low.wav", "bad.wav")
	w := speechtest.Say(8000, 120, rand.New(rand.NewPCG(15, 15)), speechtest.Words["nine"]...).Padded(0.2, 0.2)
	six := [][]float64{w, w, w, w, w, w}
	good := fsys["good.wav"].Data
	file := func(data []byte) *fstest.MapFile { return &fstest.MapFile{Data: data} }
	fsys["empty.wav"] = file(nil)
	fsys["text.wav"] = file([]byte("not a sound at all, only words about one"))
	fsys["header.wav"] = file(append([]byte("RIFF\xff\xff\xff\xffWAVEfmt \xff\xff\xff\x7f"), make([]byte, 30)...))
	fsys["silence.wav"] = file(speechtest.WAV(16000, make([]float64, 16000)))
	fsys["good-low.wav"] = file([]byte("RIFF"))
	fsys["phone.M4A"] = file([]byte("...."))
	fsys["--.wav"] = file(good)
	fsys["truncated.wav"] = file(good[:len(good)*8/10])
	fsys["six.wav"] = file(speechtest.WAV(8000, six...))
	fsys["dead.wav"] = file(speechtest.WAV(8000, w, make([]float64, len(w))))
	fsys["notes.txt"] = file([]byte("ignored"))
	fsys[".hidden.wav"] = file([]byte("ignored"))
	fsys["sub/good.wav"] = file([]byte("ignored"))
	v := open(t, fsys, Options{})
	if got := v.Faults(); len(got) != 2 || got[0].File != "--.wav" || got[1].File != "phone.M4A" || !strings.Contains(got[1].Message, "install ffmpeg") {
		t.Errorf("at first: %+v", got)
	}

	if s, missing := v.Speak("good low"); s.texts() != "good|low" || missing != nil {
		t.Errorf("%q, missing %q", s.texts(), missing)
	}
	for _, unusable := range []string{"empty", "text", "header", "silence", "phone"} {
		if _, missing := v.Speak("good " + unusable); len(missing) != 1 || missing[0] != unusable || v.Has(unusable) {
			t.Errorf("%s: missing %q", unusable, missing)
		}
	}
	for _, usable := range []string{"truncated", "six", "dead"} {
		if s, missing := v.Speak(usable); missing != nil || len(s.Parts) != 1 || !v.Has(usable) {
			t.Errorf("%s: missing %q", usable, missing)
		}
	}
	want := map[string]bool{"--.wav": true, "phone.M4A": true, "empty.wav": true, "text.wav": true, "header.wav": true,
		"silence.wav": true, "good-low.wav": true, "truncated.wav": false, "six.wav": false, "dead.wav": false}
	before := ""
	for _, f := range v.Faults() {
		unusable, known := want[f.File]
		if !known || unusable != f.Unusable || f.Message == "" || strings.Contains(f.Message, f.File) || f.File < before {
			t.Errorf("%+v", f)
		}
		before = f.File
		t.Logf("%s: %s", f.File, f.Message)
	}
	seen := map[string]bool{}
	for _, f := range v.Faults() {
		seen[f.File] = true
	}
	for f := range want {
		if !seen[f] {
			t.Errorf("%s: no fault", f)
		}
	}
}

func TestOpenErrors(t *testing.T) {
	if v, err := Open(fstest.MapFS{}, Options{Rate: 48000}); err != nil || v.Len() != 0 {
		t.Error("an empty folder:", err)
	}
}

func wide(x []float32) []float64 {
	y := make([]float64, len(x))
	for i, v := range x {
		y[i] = float64(v)
	}
	return y
}
