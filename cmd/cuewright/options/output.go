package options

import (
	"cuewright/cmd/cuewright/cli"
	"cuewright/cmd/cuewright/job"
	"cuewright/plan/class"
	"fmt"
	"os"
	"path/filepath"
)

// An Output is what options say about where tracks go.
type Output struct {
	Path    string // of a file or folder; "" for the present folder
	Form    Form
	Excerpt Excerpt
	Draft   bool
}

// Tracks decides where each plan's track of each level goes, before anything is
// made: all levels of the first plan, then those of the next.
func (o *Output) Tracks(plans []string, levels []class.Level) ([]string, error) {
	output := o.Path
	info, err := os.Stat(output)
	folder := output != "" && (err == nil && info.IsDir() || os.IsPathSeparator(output[len(output)-1]))
	switch {
	case output == "-":
		return nil, cli.UsageError("a track is written to a file: its markers and sizes need one")
	case output != "" && !folder && len(plans) > 1:
		return nil, cli.UsageError(output + " is one file, but there are several plans: give a folder")
	case output != "" && !folder && len(levels) > 1:
		return nil, cli.UsageError(output + " is one file, but there are several levels: give a folder")
	case output != "" && !folder:
		return []string{output}, o.Form.Check(output)
	case folder && err != nil:
		return nil, fmt.Errorf("there is no folder %s", output)
	}
	if err := o.Form.Check(""); err != nil {
		return nil, err
	}
	var paths []string
	taken := map[string]string{}
	for _, p := range plans {
		for _, level := range levels {
			path := filepath.Join(output, job.TrackName(p, level, o.Draft)+o.Excerpt.Name()+o.Form.Ending())
			if other, ok := taken[path]; ok {
				return nil, fmt.Errorf("%s and %s would both be written to %s", other, p, path)
			}
			taken[path] = p
			paths = append(paths, path)
		}
	}
	return paths, nil
}
