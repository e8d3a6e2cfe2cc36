package cli

import (
	"flag"
	"fmt"
	"strings"
)

// help is the usage of the whole program.
func (p *Program) help() string {
	var b strings.Builder
	for _, c := range p.Commands {
		fmt.Fprintf(&b, "  %-11s %s\n", c.Name, c.Short)
	}
	return strings.Replace(p.Help, "COMMANDS\n", b.String(), 1)
}

// commandHelp is the usage of one command.
func (p *Program) commandHelp(c *Command, flags *flag.FlagSet) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s %s %s\n\n%s\n", p.Name, c.Name, c.Args, c.Short)
	if c.Long != "" {
		fmt.Fprintf(&b, "\n%s", c.Long)
	}
	first := true
	flags.VisitAll(func(f *flag.Flag) {
		if first {
			b.WriteString("\nOptions:\n")
			first = false
		}
		dash := "--"
		if len(f.Name) == 1 {
			dash = "-"
		}
		value, text := flag.UnquoteUsage(f)
		name := dash + f.Name
		if value != "" {
			name += " " + value
		}
		fmt.Fprintf(&b, "  %-16s %s\n", name, text)
	})
	return b.String()
}
