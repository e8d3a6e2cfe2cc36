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
	text := strings.Replace(p.Help, "COMMANDS\n", b.String(), 1)
	b.Reset()
	for _, g := range p.Guides {
		fmt.Fprintf(&b, "  %-11s %s\n", g.Name, g.About)
	}
	return strings.Replace(text, "GUIDES\n", b.String(), 1)
}

// topics are all that help can tell about: commands and guides.
func (p *Program) topics() []string {
	names := p.names()
	for _, g := range p.Guides {
		names = append(names, g.Name)
	}
	return names
}

// guide finds a guide by its name.
func (p *Program) guide(name string) (Guide, bool) {
	for _, g := range p.Guides {
		if g.Name == name {
			return g, true
		}
	}
	return Guide{}, false
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
