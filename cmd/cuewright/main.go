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
	"cuewright/cmd/cuewright/guides"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	code := run(ctx, os.Args[1:], os.Stdout, os.Stderr)
	stop()
	os.Exit(code)
}

// run runs one command line and returns the exit status.
func run(ctx context.Context, args []string, out, errOut io.Writer) int {
	return program().Run(ctx, args, out, errOut)
}

// program is all that the command line can do.
func program() *cli.Program {
	return &cli.Program{Name: "cuewright", Help: helpText, Commands: []*cli.Command{renderCommand, checkCommand, showCommand,
		cuesCommand, pageCommand, scriptCommand, clipsCommand, verifyCommand, newCommand, schemaCommand, versionCommand, completionCommand}, Guides: guides.All()}
}

// helpText is the help of the whole program; the commands stand where it says COMMANDS.
//
//go:embed help.txt
var helpText string
