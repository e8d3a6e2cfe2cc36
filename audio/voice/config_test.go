package voice

import (
	"cuewright/audio/words"
	"flag"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write the .out files anew")

var configFiles = []string{"Recording 14.wav", "Recording 15.m4a", "go.2.wav", "go.wav", "notes.txt", "voice.yaml"}

// Every .yaml under testdata/yaml has its result beside it, in ok what was read
// and in err the problems.
func TestConfig(t *testing.T) {
	paths, err := filepath.Glob("testdata/yaml/*/*.yaml")
	if err != nil || len(paths) < 10 {
		t.Fatal(paths, err)
	}
	for _, path := range paths {
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		conf, err := readConfig(data, configFiles)
		if wrong := strings.Contains(path, "err"); wrong != (err != nil) {
			t.Errorf("%s: %v", path, err)
		}
		got := fmt.Sprintf("language %q\n", conf.language)
		for _, f := range slices.Sorted(maps.Keys(conf.texts)) {
			got += fmt.Sprintf("%s: %s\n", f, conf.texts[f])
		}
		if err != nil {
			got = err.Error() + "\n"
		}
		out := strings.TrimSuffix(path, ".yaml") + ".out"
		if *update {
			if err := os.WriteFile(out, []byte(got), 0o666); err != nil {
				t.Fatal(err)
			}
		}
		if want, err := os.ReadFile(out); err != nil || got != string(want) {
			t.Errorf("%s:\n%s--- want, %v\n%s", path, got, err, want)
		}
	}
}

// A name that is stored decomposed is found by the name as it is typed.
func TestConfigComposesNames(t *testing.T) {
	conf, err := readConfig([]byte("files: {\u00e9t\u00e9.wav: summer}"), []string{"e\u0301te\u0301.wav"})
	if err != nil || conf.texts["e\u0301te\u0301.wav"] != "summer" {
		t.Error(conf, err)
	}
}

// Whatever voice.yaml holds: it is read, or every line of the error says where.
func FuzzConfig(f *testing.F) {
	paths, _ := filepath.Glob("testdata/yaml/*/*.yaml")
	for _, path := range paths {
		data, _ := os.ReadFile(path)
		f.Add(data)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		conf, err := readConfig(data, configFiles)
		if err != nil {
			for line := range strings.Lines(err.Error()) {
				var row, column int
				if n, _ := fmt.Sscanf(line, "voice.yaml:%d:%d: ", &row, &column); n != 2 || row < 1 || column < 1 {
					t.Errorf("no place in %q of %q", line, data)
				}
			}
			return
		}
		for file, text := range conf.texts {
			if !slices.Contains(configFiles, file) || text == "" || words.Fold(text) != text {
				t.Errorf("%q: %q", file, text)
			}
		}
	})
}
