package strict

import (
	"regexp"
	"strings"

	"cuewright/plan/problem"
	"cuewright/plan/strict/hint"
)

var syntaxLine = regexp.MustCompile(`^yaml: (?:line \d+: )?(.*)$`)

// syntax reports an error of the YAML parser. The parser names the line at which it began
// to read what is wrong, often early, and none at all for the first; so the line is
// looked for here: the first one that no beginning of the file gets over.
func (r *Reader) syntax(data []byte, err error) {
	text := err.Error()
	if m := syntaxLine.FindStringSubmatch(text); m != nil {
		text = m[1]
	}
	at := hint.BrokenLine(string(data))
	lines := strings.Split(strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(string(data)), "\n")
	r.ErrorfAt(problem.Pos{Line: at, Column: 1}, "not readable as YAML: %s%s", text, hint.Syntax(lines[:at-1], lines[at-1]))
}
