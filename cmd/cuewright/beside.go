package main

import (
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"cuewright/audio/encode"
	"cuewright/cues/export"
	"cuewright/cues/track"
)

// formOptions are the options about the kinds of files a render makes.
func formOptions(f *flag.FlagSet, s *settings) {
	f.StringVar(&s.format, "format", "", "the `FORM` of the track: "+strings.Join(formNames(), ", ")+"; without it the ending of -o, or wav")
	f.BoolVar(&s.captions, "captions", false, "write captions beside the track, as .vtt")
	f.BoolVar(&s.list, "list", false, "write the list of calls beside the track, as .csv and .json")
}

func formNames() (names []string) {
	for _, f := range track.Forms() {
		names = append(names, string(f))
	}
	return names
}

// ending is that of tracks whose name is not given.
func (s *settings) ending() string {
	if s.format == "" {
		return "." + string(track.WAV)
	}
	return "." + s.format
}

// checkForm makes sure that a track can be written in the form asked for. output
// is the file's name where one was given.
func (s *settings) checkForm(output string) error {
	if s.format != "" && !slices.Contains(track.Forms(), track.Form(s.format)) {
		return usageError("--format " + s.format + " is not known; accepted: " + strings.Join(formNames(), ", "))
	}
	form, known := track.FormOf(s.ending())
	if output != "" {
		form, known = track.FormOf(output)
		switch {
		case !known:
			return usageError(fmt.Sprintf("a track is not written as %q; accepted endings: .%s", filepath.Ext(output), strings.Join(formNames(), ", .")))
		case s.format != "" && string(form) != s.format:
			return usageError(fmt.Sprintf("%s is not a name for --format %s: end it in .%[2]s, or leave the option out", output, s.format))
		}
	}
	if known && form.Lossy() && !encode.Installed() {
		return fmt.Errorf("%s is written through ffmpeg, which is not installed: install it, or take wav or flac", form)
	}
	return nil
}

// A companion is a file that stands beside a track.
type companion struct {
	path  string
	write func(io.Writer) error
}

// companions are those asked for: of the track's name, with other endings.
func (r *render) companions(set *settings) []companion {
	stem := strings.TrimSuffix(r.path, filepath.Ext(r.path))
	var all []companion
	if set.captions {
		all = append(all, companion{stem + ".vtt", func(w io.Writer) error { return export.VTT(w, r.list) }})
	}
	if set.list {
		all = append(all,
			companion{stem + ".csv", func(w io.Writer) error { return export.CSV(w, r.list) }},
			companion{stem + ".json", func(w io.Writer) error { return export.JSON(w, r.list, r.problems) }})
	}
	return all
}

// refuseOutputs guards the inputs against all files the render would write.
func (r *render) refuseOutputs(set *settings) error {
	if err := r.refuse(r.path); err != nil {
		return err
	}
	for _, c := range r.companions(set) {
		if err := r.refuse(c.path); err != nil {
			return err
		}
	}
	return nil
}

// writeCompanions writes what stands beside the track.
func (r *render) writeCompanions(set *settings) error {
	for _, c := range r.companions(set) {
		if err := writeFile(c.path, func(f *os.File) error { return c.write(f) }); err != nil {
			return err
		}
	}
	return nil
}
