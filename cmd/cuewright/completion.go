package main

import (
	"context"
	"flag"
	"fmt"

	"cuewright/cmd/cuewright/cli"
)

var completionCommand = &cli.Command{
	Name:  "completion",
	Args:  "bash|zsh|fish",
	Short: "print a script that completes commands in your shell",
	Long: `  bash: source <(cuewright completion bash)
  zsh:  source <(cuewright completion zsh)
  fish: cuewright completion fish | source
`,
	Setup: func(*flag.FlagSet) cli.Run { return runCompletion },
}

func runCompletion(_ context.Context, c *cli.Invocation) error {
	wrong := cli.UsageError("give one shell: bash, zsh or fish")
	if len(c.Args) != 1 {
		return wrong
	}
	script, known := c.Program.Completion(c.Args[0])
	if !known {
		return wrong
	}
	_, err := fmt.Fprint(c.Out, script)
	return err
}
