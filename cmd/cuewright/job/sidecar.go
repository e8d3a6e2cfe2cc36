package job

import (
	"io"
	"os"
	"path/filepath"
	"strings"

	"cuewright/cues/export"

	"cuewright/cmd/cuewright/wholefile"
)

// A sidecar is a file that stands beside a track.
type sidecar struct {
	path  string
	write func(io.Writer) error
}

// sidecars are those asked for: of the track's name, with other endings.
func (t *Track) sidecars(w Wanted) []sidecar {
	stem := strings.TrimSuffix(t.Path, filepath.Ext(t.Path))
	var all []sidecar
	if w.Captions {
		all = append(all, sidecar{stem + ".vtt", func(w io.Writer) error { return export.VTT(w, t.Job.List) }})
	}
	if w.List {
		all = append(all,
			sidecar{stem + ".csv", func(w io.Writer) error { return export.CSV(w, t.Job.List) }},
			sidecar{stem + ".json", func(w io.Writer) error { return export.JSON(w, t.Job.List, t.Job.Problems) }})
	}
	return all
}

// guardInputs guards the inputs against all files the render would write.
func (t *Track) guardInputs(w Wanted) error {
	if err := t.Job.GuardInput(t.Path); err != nil {
		return err
	}
	for _, s := range t.sidecars(w) {
		if err := t.Job.GuardInput(s.path); err != nil {
			return err
		}
	}
	return nil
}

// writeSidecars writes what stands beside the track.
func (t *Track) writeSidecars(w Wanted) error {
	for _, s := range t.sidecars(w) {
		if err := wholefile.Write(s.path, func(f *os.File) error { return s.write(f) }); err != nil {
			return err
		}
	}
	return nil
}
