package main

import (
	"context"
	"cuewright/cmd/cuewright/cli"
	"cuewright/cmd/cuewright/starter"
	_ "embed"
	"flag"
	"fmt"
)

var newCommand = &cli.Command{
	Name:  "new",
	Args:  "DIR",
	Short: "write a first plan and an empty voice to start from",
	Long: `DIR gets plan.yaml, which can be rendered as it is, and a folder voice for your
own recordings. Nothing that is there already is overwritten.
`,
	Setup: func(*flag.FlagSet) cli.Run { return runNew },
}

func runNew(_ context.Context, c *cli.Invocation) error {
	if len(c.Args) != 1 {
		return cli.UsageError("give one folder to write to")
	}
	plan, err := starter.Write(c.Args[0], func(path string) { fmt.Fprintln(c.Out, path) })
	if err != nil {
		return err
	}
	fmt.Fprintf(c.Out, "\nNext:\n  cuewright show %s\n  cuewright render %[1]s\n", plan)
	return nil
}
