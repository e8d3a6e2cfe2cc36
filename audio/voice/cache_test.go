package voice

import (
	"bytes"
	"os"
	"path/filepath"
	"reflect"
	"testing"
)

// TestCache: a clip from the cache is the clip that was made, warnings and all;
// a damaged entry is made anew without a word, another rate or content has its
// own entry, and without a folder nothing is written.
func TestCache(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "cache")
	fsys := folder(8000, "good.wav", "bad.wav")
	speak := func(opt Options) ([]Placed, []Fault) {
		v := open(t, fsys, opt)
		s, missing := v.Speak("good bad")
		if len(missing) > 0 {
			t.Fatal(missing)
		}
		return v.Lay(s, nil), v.Faults()
	}
	plain, faults := speak(Options{})
	if len(faults) == 0 {
		t.Fatal("8 kHz without a warning")
	}
	same := func(what string) {
		t.Helper()
		got, f := speak(Options{Cache: dir})
		if !reflect.DeepEqual(got, plain) || !reflect.DeepEqual(f, faults) {
			t.Errorf("%s: other clips or faults: %v, want %v", what, f, faults)
		}
	}
	entries := func() []string {
		files, err := filepath.Glob(filepath.Join(dir, "*"))
		if err != nil {
			t.Fatal(err)
		}
		return files
	}
	same("cold")
	files := entries()
	if len(files) != 2 {
		t.Fatalf("entries %v", files)
	}
	same("warm")
	for i, damage := range [][]byte{nil, []byte("x"), []byte(cacheMagic), bytes.Repeat([]byte{0xff}, 5000)} {
		for _, f := range files {
			if err := os.WriteFile(f, damage, 0o600); err != nil {
				t.Fatal(err)
			}
		}
		same("damaged")
		if data, _ := os.ReadFile(files[0]); bytes.Equal(data, damage) {
			t.Errorf("damage %d was not mended", i)
		}
	}
	whole, err := os.ReadFile(files[0])
	if err != nil {
		t.Fatal(err)
	}
	for _, cut := range []int{1, 100, len(whole) / 2} {
		os.WriteFile(files[0], whole[:len(whole)-cut], 0o600)
		same("cut")
	}
	whole[len(whole)/2] ^= 1
	os.WriteFile(files[0], whole, 0o600)
	same("one bit flipped")
	speak(Options{Cache: dir, Presence: 6})
	if n := len(entries()); n != 4 {
		t.Errorf("with presence there are %d entries", n)
	}
	// A folder that cannot be made is no reason to stop.
	blocked := filepath.Join(t.TempDir(), "file")
	os.WriteFile(blocked, nil, 0o600)
	if got, _ := speak(Options{Cache: filepath.Join(blocked, "cache")}); !reflect.DeepEqual(got, plain) {
		t.Error("without a folder other clips")
	}
}

func FuzzCache(f *testing.F) {
	f.Add(formatEntry(&Clip{Samples: make([]float32, 900), Lead: 100, Tail: 200, Beat: 150}, []string{"a warning"}))
	f.Add([]byte(cacheMagic))
	f.Fuzz(func(t *testing.T, data []byte) {
		clip, _, ok := parseEntry(data)
		if ok && (len(clip.Samples)*4 > len(data) || clip.Lead+clip.Tail > int64(len(clip.Samples))) {
			t.Errorf("%d samples from %d bytes", len(clip.Samples), len(data))
		}
	})
}
