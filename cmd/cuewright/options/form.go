package options

import (
	"flag"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"cuewright/audio/encode"
	"cuewright/cmd/cuewright/cli"
	"cuewright/cues/track"
)

// Form is the option about the kind of file a track is written as.
type Form struct{ form string }

// Define adds the option to a command's.
func (o *Form) Define(f *flag.FlagSet) {
	f.StringVar(&o.form, "format", "", "the `FORM` of the track: "+strings.Join(FormNames(), ", ")+"; without it the ending of -o, or wav")
}

// FormNames are the forms of tracks as the option takes them.
func FormNames() (names []string) {
	for _, f := range track.Forms() {
		names = append(names, string(f))
	}
	return names
}

// Ending is that of tracks whose name is not given.
func (o *Form) Ending() string {
	if o.form == "" {
		return "." + string(track.WAV)
	}
	return "." + o.form
}

// Check makes sure that a track can be written in the form asked for. output
// is the file's name where one was given.
func (o *Form) Check(output string) error {
	if o.form != "" && !slices.Contains(track.Forms(), track.Form(o.form)) {
		return cli.UsageError("--format " + o.form + " is not known; accepted: " + strings.Join(FormNames(), ", "))
	}
	form, known := track.FormOf(o.Ending())
	if output != "" {
		form, known = track.FormOf(output)
		switch {
		case !known:
			return cli.UsageError(fmt.Sprintf("a track is not written as %q; accepted endings: .%s", filepath.Ext(output), strings.Join(FormNames(), ", .")))
		case o.form != "" && string(form) != o.form:
			return cli.UsageError(fmt.Sprintf("%s is not a name for --format %s: end it in .%[2]s, or leave the option out", output, o.form))
		}
	}
	if known && form.Lossy() && !encode.Installed() {
		return fmt.Errorf("%s is written through ffmpeg, which is not installed: install it, or take wav or flac", form)
	}
	return nil
}

// checkEnding makes sure that a file's name ends as files of its kind do: a slip of
// the pen must not put a page in the place of a track. An ending "" stands for none.
func checkEnding(kind, output string, endings ...string) error {
	if slices.Contains(endings, strings.ToLower(filepath.Ext(output))) {
		return nil
	}
	accepted := strings.TrimSuffix(strings.Join(endings, ", "), ", ")
	if slices.Contains(endings, "") {
		accepted += ", or none"
	}
	return cli.UsageError(fmt.Sprintf("%s is not a name for %s; accepted endings: %s", output, kind, accepted))
}

// CheckHTML makes sure that a file's name ends as HTML files do.
func CheckHTML(kind, output string) error { return checkEnding(kind, output, ".html", ".htm") }
