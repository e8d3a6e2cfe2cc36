// Package wholefile writes a file whole or not at all.
package wholefile

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
)

// Write makes the file at path with what write gives it: beside it first,
// under its name only when whole. Whatever goes wrong, a file that stood there
// stays as it was, and nothing else is left.
func Write(path string, write func(*os.File) error) error {
	err := writeBeside(path, write)
	// The name of the temporary file beside it says nothing to anyone.
	if cause := (*os.PathError)(nil); errors.As(err, &cause) {
		return fmt.Errorf("cannot write %s: %w", path, cause.Err)
	}
	return err
}

func writeBeside(path string, write func(*os.File) error) (err error) {
	mode := os.FileMode(0o644)
	switch info, err := os.Stat(path); {
	case err == nil && !info.Mode().IsRegular():
		return fmt.Errorf("%s is not a file that can be replaced", path)
	case err == nil:
		mode = info.Mode().Perm()
		// A link keeps pointing where it did: the file it names is replaced.
		if path, err = filepath.EvalSymlinks(path); err != nil {
			return err
		}
	}
	f, err := os.CreateTemp(filepath.Dir(path), ".cuewright-*.part")
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			f.Close()
			os.Remove(f.Name())
		}
	}()
	if err := write(f); err != nil {
		return err
	}
	if err := f.Chmod(mode); err != nil {
		return err
	}
	if err := f.Close(); err != nil {
		return err
	}
	return os.Rename(f.Name(), path)
}
