package main

import (
	"context"
	"flag"
	"fmt"
	"runtime"

	"cuewright/cmd/cuewright/cli"
	"cuewright/plan"
)

// version counts releases; format counts changes of what the same plan and voice
// sound like, sample by sample. TestTrackFormat tells when.
const (
	version = "0.1.0"
	format  = 3
)

var schemaCommand = &cli.Command{
	Name:  "schema",
	Short: "print the JSON Schema of plan files, for editors",
	Setup: noArguments(func(c *cli.Invocation) error {
		_, err := c.Out.Write(plan.Schema())
		return err
	}),
}

var versionCommand = &cli.Command{
	Name:  "version",
	Short: "print the version",
	Setup: noArguments(func(c *cli.Invocation) error {
		_, err := fmt.Fprintf(c.Out, "cuewright %s, track format %d, %s/%s\n", version, format, runtime.GOOS, runtime.GOARCH)
		return err
	}),
}

// noArguments sets up a command without options and arguments.
func noArguments(run func(c *cli.Invocation) error) func(*flag.FlagSet) cli.Run {
	return func(*flag.FlagSet) cli.Run {
		return func(_ context.Context, c *cli.Invocation) error {
			if len(c.Args) > 0 {
				return cli.UsageError("it takes no arguments")
			}
			return run(c)
		}
	}
}
