package draft

import (
	"context"
	"io/fs"
	"os"
	"path/filepath"
	"testing"
	"testing/fstest"
	"time"

	"cuewright/audio/decode"
	"cuewright/audio/voice"
)

// onlyPath makes a folder the whole PATH, with one fake program in it.
func onlyPath(t *testing.T, name, script string) {
	t.Helper()
	dir := t.TempDir()
	if name != "" {
		if err := os.WriteFile(filepath.Join(dir, name), []byte("#!/bin/sh\n"+script), 0o755); err != nil {
			t.Fatal(err)
		}
	}
	t.Setenv("PATH", dir)
}

// speaks opens the stand-ins as a voice and says a text.
func speaks(t *testing.T, v *Voice, own fs.FS, text string) time.Duration {
	t.Helper()
	o, err := voice.Open(v.Over(own), voice.Options{Rate: 48000})
	if err != nil {
		t.Fatal(err)
	}
	s, missing := o.Speak(text)
	if len(missing) > 0 {
		t.Fatalf("%q lacks %q: %v", text, missing, o.Faults())
	}
	return s.Length
}

// TestTones: without any program on the PATH tones of the likely length stand in,
// and a real recording that cannot be used does not hide its stand-in.
func TestTones(t *testing.T) {
	onlyPath(t, "", "")
	own := fstest.MapFS{"incline.wav": {Data: []byte("no sound")}}
	v, err := Make(t.Context(), []string{"incline", "keep your speed", "in"}, "")
	if err != nil || v.Engine != "" {
		t.Fatal(v, err)
	}
	short, long := speaks(t, v, own, "in"), speaks(t, v, own, "keep your speed")
	// Thirteen letters at 65 ms and two dips.
	if long < 700*time.Millisecond || long > 1300*time.Millisecond || short >= long {
		t.Errorf("\"in\" lasts %v, \"keep your speed\" %v", short, long)
	}
	speaks(t, v, own, "keep your speed, incline")
}

// TestPrograms: what a program prints is the stand-in; one that fails, prints
// nothing or too much is passed over.
func TestPrograms(t *testing.T) {
	good := filepath.Join(t.TempDir(), "good.wav")
	if err := os.WriteFile(good, tone("a long text to be told apart"), 0o644); err != nil {
		t.Fatal(err)
	}
	for name, test := range map[string]struct {
		script string
		used   bool
	}{
		"prints":  {"while read -r x; do :; done; exec /bin/cat " + good, true},
		"fails":   {"exit 3", false},
		"nothing": {"exit 0", false},
		"floods":  {"exec /bin/cat /dev/zero", false},
	} {
		t.Run(name, func(t *testing.T) {
			onlyPath(t, "espeak-ng", test.script)
			v, err := Make(t.Context(), []string{"one"}, "de")
			if err != nil || v.Engine != "espeak-ng" {
				t.Fatal(v, err)
			}
			clip, err := decode.Bytes("x.wav", v.files["one.99.wav"])
			if err != nil {
				t.Fatal(err)
			}
			if used := len(clip.Samples) > 16000; used != test.used {
				t.Errorf("%d samples, the program's own: %v, want %v", len(clip.Samples), used, test.used)
			}
		})
	}
	onlyPath(t, "flite", "exit 0")
	if v, _ := Make(t.Context(), nil, "de"); v.Engine != "" {
		t.Errorf("flite is taken for German")
	}
}

func TestCancelled(t *testing.T) {
	onlyPath(t, "espeak-ng", "exec /bin/sleep 60")
	ctx, cancel := context.WithTimeout(t.Context(), 100*time.Millisecond)
	defer cancel()
	start := time.Now()
	if _, err := Make(ctx, []string{"one"}, ""); err == nil || time.Since(start) > 10*time.Second {
		t.Errorf("%v after %v", err, time.Since(start))
	}
}
