package cli

import (
	"flag"
	"fmt"
	"slices"
	"strings"
)

// Completion is a script that completes the program's commands in a shell: bash, zsh or
// fish. It reports whether the shell is one of them.
func (p *Program) Completion(shell string) (script string, known bool) {
	switch shell {
	case "bash":
		return bash(p), true
	case "zsh":
		return zsh(p), true
	case "fish":
		return fish(p), true
	}
	return "", false
}

// OptionNames lists a command's options with their dashes.
func (c *Command) OptionNames() []string {
	flags, _ := c.options()
	names := []string{"--help"}
	flags.VisitAll(func(f *flag.Flag) {
		if len(f.Name) == 1 {
			names = append(names, "-"+f.Name)
		} else {
			names = append(names, "--"+f.Name)
		}
	})
	slices.Sort(names)
	return names
}

func bash(p *Program) string {
	var cases strings.Builder
	fmt.Fprintf(&cases, "    help:help) COMPREPLY=($(compgen -W %q -- \"$word\")); return ;;\n", strings.Join(p.topics(), " "))
	for _, c := range p.Commands {
		if c.Forms != nil {
			fmt.Fprintf(&cases, "    %s:--format) COMPREPLY=($(compgen -W %q -- \"$word\")); return ;;\n", c.Name, strings.Join(c.Forms, " "))
		}
		fmt.Fprintf(&cases, "    %s:*) words=%q ;;\n", c.Name, strings.Join(c.OptionNames(), " "))
	}
	return fmt.Sprintf(`_cuewright() {
  local word=${COMP_WORDS[COMP_CWORD]} words=
  if [ "$COMP_CWORD" -eq 1 ]; then
    COMPREPLY=($(compgen -W %q -- "$word"))
    return
  fi
  case ${COMP_WORDS[1]}:${COMP_WORDS[COMP_CWORD-1]} in
%s  esac
  case $word in
    -*) COMPREPLY=($(compgen -W "$words" -- "$word")) ;;
    *) COMPREPLY=() ;;
  esac
}
complete -o default -F _cuewright cuewright
`, strings.Join(append(p.names(), "help"), " "), cases.String())
}

func zsh(p *Program) string {
	return "autoload -Uz bashcompinit && bashcompinit\n" + bash(p)
}

func fish(p *Program) string {
	var b strings.Builder
	fmt.Fprintf(&b, "complete -c cuewright -n __fish_use_subcommand -a help -d 'tell about a command, or show a guide'\n")
	fmt.Fprintf(&b, "complete -c cuewright -n '__fish_seen_subcommand_from help' -x -a '%s'\n", strings.Join(p.topics(), " "))
	for _, c := range p.Commands {
		fmt.Fprintf(&b, "complete -c cuewright -n __fish_use_subcommand -a %s -d '%s'\n", c.Name, strings.ReplaceAll(c.Short, "'", `\'`))
		for _, o := range c.OptionNames() {
			name, kind := strings.TrimLeft(o, "-"), "-l"
			if !strings.HasPrefix(o, "--") {
				kind = "-s"
			}
			values := ""
			if name == "format" {
				values = fmt.Sprintf(" -x -a '%s'", strings.Join(c.Forms, " "))
			}
			fmt.Fprintf(&b, "complete -c cuewright -n '__fish_seen_subcommand_from %s' %s %s%s\n", c.Name, kind, name, values)
		}
	}
	return b.String()
}
