// Command cuewright renders treadmill interval classes: a plan and a voice
// become one audio track, timed to the sample and checked before anyone runs to it.
// Each of its commands asks the rooms for what it prints, one file a command.
package main

import (
	"context"
	_ "embed"
	"io"
	"os"
	"os/signal"
	"syscall"

	"cuewright/cmd/cuewright/cli"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	code := run(ctx, os.Args[1:], os.Stdout, os.Stderr)
	stop()
	os.Exit(code)
}

// run runs one command line and returns the exit status.
func run(ctx context.Context, args []string, out, errOut io.Writer) int {
	p := cli.Program{Name: "cuewright", Help: helpText, Commands: []*cli.Command{renderCommand, checkCommand, showCommand,
		cuesCommand, pageCommand, scriptCommand, clipsCommand, verifyCommand, newCommand, schemaCommand, versionCommand, completionCommand}}
	return p.Run(ctx, args, out, errOut)
}

// helpText is the help of the whole program; the commands stand where it says COMMANDS.
//
//go:embed help.txt
var helpText string

// onePlan is the only argument of a command.
func onePlan(c *cli.Invocation) (string, error) {
	if len(c.Args) != 1 {
		return "", cli.UsageError("give one plan file")
	}
	return c.Args[0], nil
}

// somePlans are the arguments of a command for several plans.
func somePlans(c *cli.Invocation) ([]string, error) {
	if len(c.Args) == 0 {
		return nil, cli.UsageError("which plan? Give one or more plan files")
	}
	return c.Args, nil
}
