//go:build unix

package voice

import (
	"os"
	"path/filepath"
	"syscall"
	"testing"
)

// TestPipes: a pipe named like a recording, like voice.yaml, or behind a link is
// passed over; opening it would never end.
func TestPipes(t *testing.T) {
	dir, root := realFolder(t, map[string][]byte{"good.wav": folder(16000, "good.wav")["good.wav"].Data})
	for _, name := range []string{"pipe.wav", configFile} {
		if err := syscall.Mkfifo(filepath.Join(dir, name), 0o644); err != nil {
			t.Skip("no pipes here:", err)
		}
	}
	if err := os.Symlink("pipe.wav", filepath.Join(dir, "link.wav")); err != nil {
		t.Fatal(err)
	}
	v := open(t, root.FS(), Options{})
	if !v.Has("good") || v.Has("pipe") || v.Has("link") || len(v.Recordings()) != 1 {
		t.Errorf("recordings %v, faults %v", v.Recordings(), v.Faults())
	}
}
