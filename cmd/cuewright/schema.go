package main

import (
	"fmt"
	"runtime"

	"cuewright/plan"
)

// version counts releases; format counts changes of what the same plan and voice
// sound like, sample by sample. TestTrackFormat tells when.
const (
	version = "0.1.0"
	format  = 2
)

var schemaCommand = &command{
	name:  "schema",
	short: "print the JSON Schema of plan files, for editors",
	run: func(c *call) error {
		if len(c.args) > 0 {
			return usageError("it takes no arguments")
		}
		_, err := c.out.Write(plan.Schema())
		return err
	},
}

var versionCommand = &command{
	name:  "version",
	short: "print the version",
	run: func(c *call) error {
		if len(c.args) > 0 {
			return usageError("it takes no arguments")
		}
		_, err := fmt.Fprintf(c.out, "cuewright %s, track format %d, %s/%s\n", version, format, runtime.GOOS, runtime.GOARCH)
		return err
	},
}
