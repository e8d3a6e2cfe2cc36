// Package starter holds a first plan and an empty voice, for a coach to start from.
package starter

import (
	_ "embed"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

//go:embed plan.yaml
var plan []byte

//go:embed voice.yaml
var voice []byte

// Write writes the plan and the voice to a folder, which is made where it is not there,
// and returns the plan's file. Where one of them is there already nothing is
// written. written is told of each file.
func Write(dir string, written func(path string)) (planFile string, err error) {
	files := []struct {
		path string
		data []byte
	}{{filepath.Join(dir, "plan.yaml"), plan}, {filepath.Join(dir, "voice", "voice.yaml"), voice}}
	for _, f := range files {
		if _, err := os.Lstat(f.path); !errors.Is(err, fs.ErrNotExist) {
			return "", fmt.Errorf("%s is there already, nothing was written", f.path)
		}
	}
	if err := os.MkdirAll(filepath.Join(dir, "voice"), 0o755); err != nil {
		return "", err
	}
	for _, f := range files {
		// Exclusive, in case it came into being meanwhile.
		out, err := os.OpenFile(f.path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
		if err != nil {
			return "", err
		}
		_, err = out.Write(f.data)
		if err := errors.Join(err, out.Close()); err != nil {
			return "", err
		}
		written(f.path)
	}
	return files[0].path, nil
}
