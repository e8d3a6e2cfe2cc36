package cli

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"slices"
	"strings"

	"cuewright/plan/strict"
	"cuewright/plan/strict/hint"
)

// Run runs one command line and returns the exit status.
func (p *Program) Run(ctx context.Context, args []string, out, errOut io.Writer) int {
	if len(args) == 0 {
		fmt.Fprint(errOut, p.help())
		return Failed
	}
	name, rest := args[0], args[1:]
	switch name {
	case "help", "-h", "--help", "-help":
		if len(rest) == 0 || name != "help" {
			fmt.Fprint(out, p.help())
			return OK
		}
		if g, ok := p.guide(rest[0]); ok {
			fmt.Fprint(out, g.Text)
			return OK
		}
		if !slices.Contains(p.names(), rest[0]) {
			fmt.Fprintf(errOut, "%s: there is no command or guide %q%s\n", p.Name, rest[0], strict.Accepted(rest[0], p.topics()))
			return Failed
		}
		name, rest = rest[0], []string{"--help"}
	case "--version":
		name = "version"
	}
	names := p.names()
	if i := slices.Index(names, name); i >= 0 {
		return p.runCommand(ctx, p.Commands[i], rest, &Invocation{Program: p, Out: out, Err: errOut})
	}
	if _, ok := p.guide(name); ok {
		fmt.Fprintf(errOut, "%s: there is no command %q; '%[1]s help %[2]s' is a guide\n", p.Name, name)
		return Failed
	}
	fmt.Fprintf(errOut, "%s: there is no command %q%s\nRun '%[1]s help' for the commands.\n", p.Name, name, hint.Nearest(name, names))
	return Failed
}

func (p *Program) names() []string {
	var names []string
	for _, c := range p.Commands {
		names = append(names, c.Name)
	}
	return names
}

func (p *Program) runCommand(ctx context.Context, c *Command, args []string, in *Invocation) int {
	flags, run := c.options()
	err := parse(flags, args, &in.Args)
	if errors.Is(err, flag.ErrHelp) {
		fmt.Fprint(in.Out, p.commandHelp(c, flags))
		return OK
	}
	if err == nil {
		err = run(ctx, in)
	}
	switch {
	case err == nil:
		return OK
	case errors.Is(err, ErrProblems):
		return Problems
	case errors.Is(err, context.Canceled):
		fmt.Fprintf(in.Err, "%s: interrupted, nothing was left half written\n", p.Name)
		return Failed
	}
	p.tell(c, err, in.Err)
	return Failed
}

// tell writes each of the errors that are joined in one, and where to read about options.
func (p *Program) tell(c *Command, err error, w io.Writer) {
	all := []error{err}
	if joined, ok := err.(interface{ Unwrap() []error }); ok {
		all = joined.Unwrap()
	}
	var usage UsageError
	for _, e := range all {
		if errors.As(e, &usage) {
			fmt.Fprintf(w, "%s %s: %v\n", p.Name, c.Name, e)
		} else {
			fmt.Fprintf(w, "%s: %v\n", p.Name, e)
		}
	}
	if errors.As(err, &usage) {
		fmt.Fprintf(w, "Run '%s help %s' for its options.\n", p.Name, c.Name)
	}
}

// options are the command's own, and what runs it with them.
func (c *Command) options() (*flag.FlagSet, Run) {
	flags := flag.NewFlagSet(c.Name, flag.ContinueOnError)
	flags.SetOutput(io.Discard)
	return flags, c.Setup(flags)
}

// parse reads options wherever they stand among the arguments; after "--"
// everything is an argument.
func parse(flags *flag.FlagSet, args []string, rest *[]string) error {
	var plain []string
	if i := slices.Index(args, "--"); i >= 0 {
		args, plain = args[:i], args[i+1:]
	}
	for {
		switch err := flags.Parse(args); {
		case errors.Is(err, flag.ErrHelp):
			return err
		case err != nil:
			return UsageError(strings.Replace(err.Error(), "flag provided but not defined: -", "there is no option --", 1))
		}
		args = flags.Args()
		if len(args) == 0 {
			*rest = append(*rest, plain...)
			return nil
		}
		*rest = append(*rest, args[0])
		args = args[1:]
	}
}
