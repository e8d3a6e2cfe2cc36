package voice

import (
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"cuewright/audio/decode"
	"cuewright/audio/ffmpeg"
)

// realFolder writes files to disk and opens their folder as a root, as the program
// does.
func realFolder(t *testing.T, files map[string][]byte) (dir string, root *os.Root) {
	t.Helper()
	dir = filepath.Join(t.TempDir(), "voice")
	if err := os.Mkdir(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	for name, data := range files {
		if err := os.WriteFile(filepath.Join(dir, name), data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { root.Close() })
	return dir, root
}

// TestLinks: links within the folder are recordings, those that lead out of it
// are faults, whatever stands where they lead.
func TestLinks(t *testing.T) {
	good := folder(16000, "good.wav")["good.wav"].Data
	dir, root := realFolder(t, map[string][]byte{"good.wav": good})
	outside := filepath.Join(filepath.Dir(dir), "outside.wav")
	if err := os.WriteFile(outside, good, 0o644); err != nil {
		t.Fatal(err)
	}
	links := map[string]string{
		"inside.wav": "good.wav", "around.wav": "../voice/good.wav", "outside.wav": "../outside.wav", "absolute.wav": outside,
		"folder.wav": "..", "nowhere.wav": "gone.wav", "itself.wav": "itself.wav", "again.wav": "outside.wav",
	}
	for name, to := range links {
		if err := os.Symlink(to, filepath.Join(dir, name)); err != nil {
			t.Skip("no links here:", err)
		}
	}
	v := open(t, root.FS(), Options{})
	for text, want := range map[string]bool{"good": true, "inside": true, "around": false, "outside": false, "absolute": false,
		"folder": false, "nowhere": false, "itself": false, "again": false} {
		if v.Has(text) != want {
			t.Errorf("%s counts as recorded: %v", text, !want)
		}
	}
	faults := v.Faults()
	if len(faults) != len(links)-1 {
		t.Errorf("%d faults of %d links", len(faults), len(links))
	}
	for _, f := range faults {
		if !f.Unusable || !strings.HasPrefix(f.Message, "cannot be opened: ") || !strings.HasSuffix(f.Message, "; links are followed within the folder only") {
			t.Errorf("%+v", f)
		}
	}

	if err := os.Symlink("../outside.wav", filepath.Join(dir, configFile)); err != nil {
		t.Fatal(err)
	}
	if _, err := Settings(root.FS()); err == nil || !strings.HasPrefix(err.Error(), "cannot be opened: ") {
		t.Error(err)
	}
}

// TestForeignRecordings: a file of another kind is a recording where ffmpeg is
// installed, and one that only looks like it a fault.
func TestForeignRecordings(t *testing.T) {
	if !ffmpeg.Installed() {
		t.Skip("ffmpeg is not installed: recordings of other kinds were not tried")
	}
	good := folder(16000, "good.wav")["good.wav"].Data
	dir, root := realFolder(t, map[string][]byte{
		"good.wav": good, "list.m4a": []byte("#EXTM3U\ngood.wav\n"), "broken.ogg": append([]byte("OggS"), make([]byte, 500)...),
		"named.m4a": good,
	})
	for _, name := range []string{"phone.m4a", "next.aiff"} {
		if out, err := exec.Command("ffmpeg", "-v", "error", "-i", filepath.Join(dir, "good.wav"), filepath.Join(dir, name)).CombinedOutput(); err != nil {
			t.Skipf("%s cannot be made here: %s", name, out)
		}
	}
	v := open(t, root.FS(), Options{Cache: filepath.Join(dir, "cache")})
	for text, want := range map[string]bool{"good": true, "phone": true, "next": true, "named": true, "list": false, "broken": false} {
		if v.Has(text) != want {
			t.Errorf("%s counts as recorded: %v", text, !want)
		}
	}
	if got := v.Faults(); len(got) != 2 || !strings.Contains(got[0].Message, "ffmpeg cannot read it (") || !strings.Contains(got[1].Message, "unknown kind") {
		t.Errorf("%+v", got)
	}

	// What was prepared once needs no ffmpeg, but its name says that it does.
	t.Setenv("PATH", t.TempDir())
	v = open(t, root.FS(), Options{Cache: filepath.Join(dir, "cache")})
	if got := v.Faults(); v.Has("phone") || len(got) != 5 || got[3].Message != decode.Advice {
		t.Errorf("without ffmpeg: %+v", got)
	}
	var foreign *decode.ForeignError
	if _, err := v.Decode(Recording{File: "phone.m4a"}); !errors.As(err, &foreign) || !strings.HasSuffix(err.Error(), decode.Advice) {
		t.Error(err)
	}
}
