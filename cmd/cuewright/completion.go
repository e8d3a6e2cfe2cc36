package main

import (
	"flag"
	"fmt"
	"slices"
	"strings"
)

var completionCommand *command

func init() { // it lists all commands, itself among them
	completionCommand = &command{
		name:  "completion",
		args:  "bash|zsh|fish",
		short: "print a script that completes commands in your shell",
		long: `  bash: source <(cuewright completion bash)
  zsh:  source <(cuewright completion zsh)
  fish: cuewright completion fish | source
`,
		run: func(c *call) error {
			shells := map[string]func() string{"bash": bashCompletion, "zsh": zshCompletion, "fish": fishCompletion}
			if len(c.args) != 1 || shells[c.args[0]] == nil {
				return usageError("give one shell: bash, zsh or fish")
			}
			_, err := fmt.Fprint(c.out, shells[c.args[0]]())
			return err
		},
	}
}

// optionNames lists a command's options with their dashes.
func (c *command) optionNames() []string {
	flags := flag.NewFlagSet(c.name, flag.ContinueOnError)
	if c.options != nil {
		c.options(flags, new(settings))
	}
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

func commandNames() string {
	var names []string
	for _, c := range commands() {
		names = append(names, c.name)
	}
	return strings.Join(append(names, "help"), " ")
}

func bashCompletion() string {
	var cases strings.Builder
	for _, c := range commands() {
		if c.forms != nil {
			fmt.Fprintf(&cases, "    %s:--format) COMPREPLY=($(compgen -W %q -- \"$word\")); return ;;\n", c.name, strings.Join(c.forms, " "))
		}
		fmt.Fprintf(&cases, "    %s:*) words=%q ;;\n", c.name, strings.Join(c.optionNames(), " "))
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
`, commandNames(), cases.String())
}

func zshCompletion() string {
	return "autoload -Uz bashcompinit && bashcompinit\n" + bashCompletion()
}

func fishCompletion() string {
	var b strings.Builder
	for _, c := range commands() {
		fmt.Fprintf(&b, "complete -c cuewright -n __fish_use_subcommand -a %s -d '%s'\n", c.name, strings.ReplaceAll(c.short, "'", `\'`))
		for _, o := range c.optionNames() {
			name, kind := strings.TrimLeft(o, "-"), "-l"
			if !strings.HasPrefix(o, "--") {
				kind = "-s"
			}
			values := ""
			if name == "format" {
				values = fmt.Sprintf(" -x -a '%s'", strings.Join(c.forms, " "))
			}
			fmt.Fprintf(&b, "complete -c cuewright -n '__fish_seen_subcommand_from %s' %s %s%s\n", c.name, kind, name, values)
		}
	}
	return b.String()
}
