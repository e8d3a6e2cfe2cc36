package folder

import (
	"os"
	"path/filepath"
	"testing"
)

// TestFolder: a link or a path that leads out of a voice's folder is not followed.
func TestFolder(t *testing.T) {
	dir := t.TempDir()
	outside := filepath.Join(t.TempDir(), "secret.wav")
	if err := os.WriteFile(outside, nil, 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(outside, filepath.Join(dir, "ten.wav")); err != nil {
		t.Fatal(err)
	}
	files := recordings(dir)
	if _, err := files.Open("ten.wav"); err == nil {
		t.Error("a link that leads out is opened")
	}
	if _, err := files.Stat("ten.wav"); err == nil {
		t.Error("a link that leads out is looked at")
	}
	if _, err := files.Open("../" + filepath.Base(dir)); err == nil {
		t.Error("a path that leads out is opened")
	}
}
