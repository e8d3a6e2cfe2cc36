package clip

import (
	"bytes"
	"cuewright/audio"
	"cuewright/audio/speech/speechtest"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"sync"
	"testing"
	"time"
)

// made is what a maker gives.
type made struct {
	clip     *Clip
	warnings []string
}

// word is a recording of a made word.
func word(rate audio.Rate, i int) []byte {
	rng := rand.New(rand.NewPCG(uint64(i), 7))
	w := speechtest.Say(rate, 110+10*float64(i%5), rng, speechtest.Words[speechtest.Shapes[i%len(speechtest.Shapes)]]...)
	return speechtest.WAV(rate, w.Padded(0.2, 0.25))
}

// TestCache: a clip from the cache is the clip that was made, warnings and all;
// a damaged entry is made anew without a word, another rate or content has its
// own entry, and without a folder nothing is written.
func TestCache(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "cache")
	good, other := word(8000, 0), word(8000, 1)
	make := func(rate audio.Rate, presence float64, dir string) (out []made) {
		m := NewMaker(rate, presence, dir)
		for _, data := range [][]byte{good, other} {
			clip, warnings, err := m.Make(t.Context(), "a.wav", data)
			if err != nil {
				t.Fatal(err)
			}
			out = append(out, made{clip, warnings})
		}
		return out
	}
	plain := make(48000, 0, "")
	if len(plain[0].warnings) == 0 {
		t.Fatal("8 kHz without a warning")
	}
	same := func(what string) {
		t.Helper()
		if got := make(48000, 0, dir); !reflect.DeepEqual(got, plain) {
			t.Errorf("%s: other clips or warnings", what)
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
	// That entries are used at all shows in one of another sound, its sum being right.
	whole, err := os.ReadFile(files[0])
	if err != nil {
		t.Fatal(err)
	}
	clip, warnings, _ := parseEntry(whole)
	clip.Samples[5] = 0.25
	os.WriteFile(files[0], formatEntry(clip, warnings), 0o600)
	if got := make(48000, 0, dir); reflect.DeepEqual(got, plain) {
		t.Error("the cache is not used")
	}
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
	for _, cut := range []int{1, 100, len(whole) / 2} {
		os.WriteFile(files[0], whole[:len(whole)-cut], 0o600)
		same("cut")
	}
	whole[len(whole)/2] ^= 1
	os.WriteFile(files[0], whole, 0o600)
	same("one bit flipped")
	make(48000, 6, dir)
	if n := len(entries()); n != 4 {
		t.Errorf("with presence there are %d entries", n)
	}
	make(44100, 0, dir)
	if n := len(entries()); n != 6 {
		t.Errorf("at another rate there are %d entries", n)
	}
	// A folder that cannot be made is no reason to stop.
	blocked := filepath.Join(t.TempDir(), "file")
	os.WriteFile(blocked, nil, 0o600)
	if got := make(48000, 0, filepath.Join(blocked, "cache")); !reflect.DeepEqual(got, plain) {
		t.Error("without a folder other clips")
	}
}

// TestCacheVersion: who changes how clips are prepared, or what is said about it,
// must count cacheVersion up, or old entries would go on being used. Here stand
// figures of the clips as the present version makes them.
func TestCacheVersion(t *testing.T) {
	const version = 2
	want := [][5]float64{{102480, 19342, 5802.82143, 1006.04027, 9543405.12}, {102480, 19342, 5809.01441, 988.815537, 9397391.5}}
	warning := "8000 Hz is telephone sound: record at 44100 or 48000 Hz"
	for i, presence := range []float64{0, 6} {
		var got [5]float64 // frames, beats, sum of sizes, energy, and where it lies
		m := NewMaker(48000, presence, "")
		for i := range 5 {
			clip, warnings, err := m.Make(t.Context(), "a.wav", word(8000, i))
			if err != nil || len(warnings) != 1 || warnings[0] != warning {
				t.Fatalf("other warnings, %q, %v: raise cacheVersion, and write it here", warnings, err)
			}
			got[0] += float64(len(clip.Samples))
			got[1] += float64(clip.Beat)
			for k, x := range double(clip.Samples) {
				got[2] += math.Abs(x)
				got[3] += x * x
				got[4] += x * x * float64(k)
			}
		}
		for k := range got { // processors differ in the last bits
			if version != cacheVersion || math.Abs(got[k]-want[i][k]) > 1e-6*want[i][k] {
				t.Fatalf("clips are prepared otherwise: raise cacheVersion, and write it here and the figures %.9g for %.9g", got, want[i])
			}
		}
	}
}

// TestCacheSize: the oldest entries go where there are too many bytes, and what a
// stopped process left; a file that is not the cache's stays whatever its age.
func TestCacheSize(t *testing.T) {
	defer func(was int64) { maxCache = was }(maxCache)
	maxCache = 100_000
	dir := t.TempDir()
	clip := &Clip{Samples: make([]float32, 5000), Lead: 10, Tail: 10}
	size := int64(len(formatEntry(clip, nil)))
	old := time.Now().Add(-2 * partAge)
	for _, name := range []string{"cuewright-1.part", "mine.part", "mine.clip"} {
		if err := os.WriteFile(filepath.Join(dir, name), make([]byte, 200_000), 0o600); err != nil {
			t.Fatal(err)
		}
		os.Chtimes(filepath.Join(dir, name), old, old)
	}
	c := cache{dir: dir}
	for i := range 20 {
		key := fmt.Sprintf("%064x", i)
		c.store(key, clip, nil)
		when := old.Add(time.Duration(i) * time.Second)
		os.Chtimes(filepath.Join(dir, key+cacheEnding), when, when)
	}
	names, _ := filepath.Glob(filepath.Join(dir, "*"))
	for i, n := range names {
		names[i] = filepath.Base(n)
	}
	entries := len(names) - 2
	if !slices.Contains(names, "mine.part") || !slices.Contains(names, "mine.clip") || slices.Contains(names, "cuewright-1.part") {
		t.Errorf("there are %v", names)
	}
	if most := (maxCache + maxCache/8 + size) / size; int64(entries) > most || entries < 4 {
		t.Errorf("%d entries of %d bytes, up to %d may stay", entries, size, most)
	}
	for i := range 20 { // the last ones stay
		if _, _, ok := c.load(fmt.Sprintf("%064x", i)); ok != (i >= 20-entries) {
			t.Errorf("entry %d of 20 is there: %v", i, ok)
		}
	}
}

// TestCacheShared: several makers fill, read and damage one folder at once, as
// several processes would, and all of them make the same.
func TestCacheShared(t *testing.T) {
	dir, data := t.TempDir(), word(16000, 0)
	make := func(dir string) *Clip {
		clip, _, err := NewMaker(48000, 0, dir).Make(t.Context(), "a.wav", data)
		if err != nil {
			t.Error(err)
		}
		return clip
	}
	want := make("")
	var all sync.WaitGroup
	for i := range 8 {
		all.Go(func() {
			for range 5 {
				if got := make(dir); !reflect.DeepEqual(got, want) {
					t.Error("other clips")
				}
				if files, _ := filepath.Glob(filepath.Join(dir, "*"+cacheEnding)); i == 0 && len(files) > 0 {
					os.WriteFile(files[0], []byte(cacheMagic), 0o600)
				}
			}
		})
	}
	all.Wait()
	if left, _ := filepath.Glob(filepath.Join(dir, "*.part")); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
}

// TestCacheDistrusts: an entry whose sum is right and whose figures are not.
func TestCacheDistrusts(t *testing.T) {
	good := Clip{Samples: make([]float32, 900), Lead: 100, Tail: 200, Beat: 150}
	if _, warnings, ok := parseEntry(formatEntry(&good, []string{"w"})); !ok || len(warnings) != 1 {
		t.Fatal("a good entry is not read")
	}
	for name, spoil := range map[string]func(c *Clip){
		"no samples":     func(c *Clip) { c.Samples, c.Lead, c.Tail, c.Beat = nil, 0, 0, 0 },
		"nothing said":   func(c *Clip) { c.Lead, c.Tail = 450, 450 },
		"lead too long":  func(c *Clip) { c.Lead = math.MaxInt64 },
		"tail too long":  func(c *Clip) { c.Tail = math.MaxInt64 },
		"lead below 0":   func(c *Clip) { c.Lead = -1 },
		"tail below 0":   func(c *Clip) { c.Tail = math.MinInt64 },
		"beat outside":   func(c *Clip) { c.Beat = 901 },
		"beat before":    func(c *Clip) { c.Beat = -1 },
		"not a number":   func(c *Clip) { c.Samples[7] = float32(math.NaN()) },
		"without an end": func(c *Clip) { c.Samples[7] = float32(math.Inf(-1)) },
	} {
		c := good
		c.Samples = slices.Clone(good.Samples)
		spoil(&c)
		if _, _, ok := parseEntry(formatEntry(&c, nil)); ok {
			t.Errorf("%s: it is used", name)
		}
	}
	entry := formatEntry(&good, nil)
	body := bytes.Clone(entry[len(cacheMagic)+crc32.Size:])
	for name, spoil := range map[string]func(b []byte) []byte{
		"head of 4 GB":     func(b []byte) []byte { binary.LittleEndian.PutUint32(b, math.MaxUint32); return b },
		"more frames said": func(b []byte) []byte { return bytes.Replace(b, []byte(`"Frames":900`), []byte(`"Frames":999`), 1) },
		"cut":              func(b []byte) []byte { return b[:len(b)-4] },
		"cut in a sample":  func(b []byte) []byte { return b[:len(b)-1] },
		"no head":          func(b []byte) []byte { return nil },
	} {
		if _, _, ok := parseEntry(seal(spoil(bytes.Clone(body)))); ok {
			t.Errorf("%s: it is used", name)
		}
	}
}

// FuzzCache: whatever stands in an entry, its sum being right, is refused or is a
// clip that its bytes justify and that is written again as it was read.
func FuzzCache(f *testing.F) {
	whole := formatEntry(&Clip{Samples: make([]float32, 900), Lead: 100, Tail: 200, Beat: 150}, []string{"a warning"})
	f.Add(whole[len(cacheMagic)+crc32.Size:])
	f.Add([]byte("\x02\x00\x00\x00{}"))
	f.Fuzz(func(t *testing.T, body []byte) {
		if _, _, ok := parseEntry(append([]byte(cacheMagic), body...)); ok {
			t.Error("an entry without a sum")
		}
		clip, warnings, ok := parseEntry(seal(body))
		if !ok {
			return
		}
		if n := int64(len(clip.Samples)); 4*n > int64(len(body)) || clip.Speech() <= 0 || clip.Lead < 0 || clip.Tail < 0 || clip.Beat < 0 || clip.Beat > n {
			t.Errorf("%d samples, lead %d, tail %d, beat %d from %d bytes", n, clip.Lead, clip.Tail, clip.Beat, len(body))
		}
		again, more, ok := parseEntry(formatEntry(clip, warnings))
		if !ok || !reflect.DeepEqual(again, clip) || len(more) != len(warnings) {
			t.Errorf("%+v came back as %+v", clip, again)
		}
	})
}
