package options

import (
	"flag"
	"io"
	"strings"

	"cuewright/cmd/cuewright/cli"
	"cuewright/cues"
	"cuewright/cues/export"
	"cuewright/plan/problem"
)

// ListForms are the forms of a list of calls as its option takes them.
var ListForms = []string{"text", "csv", "json", "vtt"}

// ListForm is the option about the form in which a list of calls is written.
type ListForm struct{ form string }

// Define adds the option to a command's.
func (o *ListForm) Define(f *flag.FlagSet) {
	f.StringVar(&o.form, "format", "text", "the `FORM`: text, csv, json or vtt")
}

// A ListWriter writes a list in some form, with its problems where the form has them.
type ListWriter func(io.Writer, *cues.List, []problem.Problem) error

// Read is what writes the form asked for. The error is for a form that is not known, or a
// file's name that does not end as the form's files do; output is "" or - for no file.
func (o *ListForm) Read(output string) (ListWriter, error) {
	var write ListWriter
	endings := []string{"." + o.form}
	switch o.form {
	case "text":
		write = func(w io.Writer, l *cues.List, _ []problem.Problem) error { return export.Text(w, l) }
		endings = []string{".txt", ""}
	case "csv":
		write = func(w io.Writer, l *cues.List, _ []problem.Problem) error { return export.CSV(w, l) }
	case "vtt":
		write = func(w io.Writer, l *cues.List, _ []problem.Problem) error { return export.VTT(w, l) }
	case "json":
		write = export.JSON
	default:
		return nil, cli.UsageError("--format " + o.form + " is not known; accepted: " + strings.Join(ListForms, ", "))
	}
	if output == "" || output == "-" {
		return write, nil
	}
	return write, checkEnding("a list of --format "+o.form, output, endings...)
}
