// Package cli is the command line apart from what its commands do: which command is
// asked for, its options wherever they stand, help, completion, and the exit status.
package cli

import (
	"context"
	"errors"
	"flag"
	"io"
)

// Exit statuses.
const (
	OK       = 0 // nothing wrong; warnings are allowed, except with --strict
	Problems = 1 // something is wrong with a plan, voice, list or track
	Failed   = 2 // could not run: usage, unreadable file, output that would overwrite an input
)

// ErrProblems ends a command whose problems were printed.
var ErrProblems = errors.New("problems")

// UsageError is about how the program was called.
type UsageError string

func (e UsageError) Error() string { return string(e) }

// A Program is a set of commands.
type Program struct {
	Name     string
	Help     string // of the whole program, with the lines COMMANDS and GUIDES where they are listed
	Commands []*Command
	Guides   []Guide
}

// A Guide is a text of the program's help that is about no command.
type Guide struct {
	Name  string
	About string // one line
	Text  string // for a terminal
}

// A Command is one verb of the program.
type Command struct {
	Name  string
	Args  string // what follows the name, for help
	Short string // one line
	Long  string // the rest of its help
	// Setup defines the command's options and returns what runs it with them.
	Setup func(*flag.FlagSet) Run
	Forms []string // what --format takes, for completion
}

// Run runs a command whose options were read.
type Run func(context.Context, *Invocation) error

// Plans are the arguments of a command for one plan or several.
func (c *Invocation) Plans() ([]string, error) {
	if len(c.Args) == 0 {
		return nil, UsageError("which plan? Give one or more plan files")
	}
	return c.Args, nil
}

// Plan is the only argument of a command.
func (c *Invocation) Plan() (string, error) {
	if len(c.Args) != 1 {
		return "", UsageError("give one plan file")
	}
	return c.Args[0], nil
}

// An Invocation is one run of a command.
type Invocation struct {
	Program  *Program
	Args     []string // without the options
	Out, Err io.Writer
}
