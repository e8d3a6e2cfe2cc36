// Command cuewright renders treadmill interval classes: a plan and a voice
// become one audio track, timed to the sample and checked before anyone runs to it.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"slices"
	"strings"
	"syscall"

	"cuewright/plan/class/effort"
	"cuewright/plan/strict"
)

// Exit statuses.
const (
	ok       = 0 // nothing wrong; warnings are allowed, except with --strict
	problems = 1 // something is wrong with a plan, voice, list or track
	failed   = 2 // could not run: usage, unreadable file, output that would overwrite an input
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	code := run(ctx, os.Args[1:], os.Stdout, os.Stderr)
	stop()
	os.Exit(code)
}

// A command is one verb of the program.
type command struct {
	name    string
	args    string // what follows the name, for help
	short   string // one line
	long    string // the rest of its help
	run     func(c *call) error
	options func(*flag.FlagSet, *settings)
	forms   []string // what --format takes, for completion
}

// settings are the options of all commands; each uses its own.
type settings struct {
	output   string
	voice    string
	level    string
	units    string
	step     string
	cadence  string
	cueList  string
	format   string
	captions bool
	list     bool
	from     moment
	length   moment
	html     string
	draft    bool
	force    bool
	json     bool
	strict   bool
	mass     effort.Mass
}

// A call is one run of a command.
type call struct {
	ctx      context.Context
	command  *command
	args     []string
	set      settings
	out, err io.Writer
}

// errProblems ends a command whose problems were printed.
var errProblems = errors.New("problems")

// usageError is about how the program was called.
type usageError string

func (e usageError) Error() string { return string(e) }

func commands() []*command {
	return []*command{renderCommand, checkCommand, showCommand, cuesCommand, pageCommand, scriptCommand, clipsCommand, verifyCommand, newCommand, schemaCommand, versionCommand, completionCommand}
}

// run runs one command line and returns the exit status.
func run(ctx context.Context, args []string, out, errOut io.Writer) int {
	if len(args) == 0 {
		fmt.Fprint(errOut, help())
		return failed
	}
	name, rest := args[0], args[1:]
	switch name {
	case "help", "-h", "--help", "-help":
		if len(rest) == 0 || name != "help" {
			fmt.Fprint(out, help())
			return ok
		}
		name, rest = rest[0], []string{"--help"}
	case "--version":
		name = "version"
	}
	for _, c := range commands() {
		if c.name == name {
			return runCommand(&call{ctx: ctx, command: c, out: out, err: errOut}, rest)
		}
	}
	var names []string
	for _, c := range commands() {
		names = append(names, c.name)
	}
	fmt.Fprintf(errOut, "cuewright: there is no command %q%s\n%s", name, strict.Suggest(name, names), hintHelp)
	return failed
}

const hintHelp = "Run 'cuewright help' for the commands.\n"

func runCommand(c *call, args []string) int {
	flags := flag.NewFlagSet(c.command.name, flag.ContinueOnError)
	flags.SetOutput(io.Discard)
	if c.command.options != nil {
		c.command.options(flags, &c.set)
	}
	err := parse(flags, args, &c.args)
	if errors.Is(err, flag.ErrHelp) {
		fmt.Fprint(c.out, c.command.help(flags))
		return ok
	}
	if err == nil {
		err = c.command.run(c)
	}
	var usage usageError
	switch {
	case err == nil:
		return ok
	case errors.Is(err, errProblems):
		return problems
	case errors.Is(err, context.Canceled):
		fmt.Fprintln(c.err, "cuewright: interrupted, nothing was left half written")
		return failed
	case errors.As(err, &usage):
		fmt.Fprintf(c.err, "cuewright %s: %v\nRun 'cuewright help %s' for its options.\n", c.command.name, err, c.command.name)
		return failed
	}
	fmt.Fprintf(c.err, "cuewright: %v\n", err)
	return failed
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
			return usageError(strings.Replace(err.Error(), "flag provided but not defined: -", "there is no option --", 1))
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
