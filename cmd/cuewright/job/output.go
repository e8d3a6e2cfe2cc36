package job

import (
	"cuewright/cmd/cuewright/wholefile"
	"fmt"
	"io"
	"os"
	"path/filepath"
)

// sameFile reports whether two paths lead to one existing file.
func sameFile(a, b string) bool {
	x, err1 := os.Stat(a)
	y, err2 := os.Stat(b)
	return err1 == nil && err2 == nil && os.SameFile(x, y)
}

// Write writes a file about the job that is none of its inputs, whole or not at all.
func (j *Job) Write(path string, write func(io.Writer) error) error {
	if err := j.GuardInput(path); err != nil {
		return err
	}
	return wholefile.Write(path, func(f *os.File) error { return write(f) })
}

// GuardInput guards what the track is made from: an output must not overwrite it.
func (j *Job) GuardInput(output string) error {
	if sameFile(output, j.Name) {
		return fmt.Errorf("%s is the plan itself, it will not be overwritten", output)
	}
	if j.options.CueList != "" && sameFile(output, j.options.CueList) {
		return fmt.Errorf("%s is the list of --cues, it will not be overwritten", output)
	}
	if j.Plan != nil && j.Plan.CommonFile != "" && sameFile(output, j.Plan.CommonFile) {
		return fmt.Errorf("%s is what the plan has in common with others, it will not be overwritten", output)
	}
	if j.Plan != nil && sameFile(output, j.musicPath()) {
		return fmt.Errorf("%s is the music of the plan's bed, it will not be overwritten", output)
	}
	if j.folder != "" && sameFile(filepath.Dir(output), j.folder) {
		return fmt.Errorf("%s lies in the voice's folder, where it would count as a recording: choose another", output)
	}
	return nil
}
