package main

import (
	_ "embed"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

//go:embed new/plan.yaml
var firstPlan []byte

//go:embed new/voice.yaml
var firstVoice []byte

var newCommand = &command{
	name:  "new",
	args:  "DIR",
	short: "write a first plan and an empty voice to start from",
	long: `DIR gets plan.yaml, which can be rendered as it is, and a folder voice for your
own recordings. Nothing that is there already is overwritten.
`,
	run: func(c *call) error {
		if len(c.args) != 1 {
			return usageError("give one folder to write to")
		}
		dir := c.args[0]
		files := []struct {
			path string
			data []byte
		}{{filepath.Join(dir, "plan.yaml"), firstPlan}, {filepath.Join(dir, "voice", "voice.yaml"), firstVoice}}
		for _, f := range files {
			if _, err := os.Lstat(f.path); !errors.Is(err, fs.ErrNotExist) {
				return fmt.Errorf("%s is there already, nothing was written", f.path)
			}
		}
		if err := os.MkdirAll(filepath.Join(dir, "voice"), 0o755); err != nil {
			return err
		}
		for _, f := range files {
			// Exclusive, in case it came into being meanwhile.
			out, err := os.OpenFile(f.path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
			if err != nil {
				return err
			}
			_, err = out.Write(f.data)
			if err := errors.Join(err, out.Close()); err != nil {
				return err
			}
			fmt.Fprintln(c.out, f.path)
		}
		fmt.Fprintf(c.out, "\nNext:\n  cuewright show %s\n  cuewright render %s\n", files[0].path, files[0].path)
		return nil
	},
}
