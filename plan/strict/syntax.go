package strict

import (
	"regexp"
	"strings"

	"gopkg.in/yaml.v3"

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
	at := brokenLine(string(data))
	lines := strings.Split(strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(string(data)), "\n")
	r.ErrorfAt(problem.Pos{Line: at, Column: 1}, "not readable as YAML: %s%s", text, hint.Syntax(lines[:at-1], lines[at-1]))
}

// brokenLine is the line of a text, from 1, that makes it unreadable. Each key of the
// outermost mapping is read by itself, with what stands under it, so that what is never
// closed is found where it begins.
func brokenLine(text string) int {
	lines := strings.SplitAfter(strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(text), "\n")
	if lines[len(lines)-1] == "" {
		lines = lines[:len(lines)-1]
	}
	from := 0
	for from < len(lines) {
		to := from + 1
		for to < len(lines) && !outermost(lines[to]) {
			to++
		}
		if part := lines[from:to]; !readable(part) {
			return from + 1 + readableLines(part)
		}
		from = to
	}
	// Each part is readable: what is wrong lies between them.
	return min(1+readableLines(lines), max(1, len(lines)))
}

// outermost reports whether a line may begin a key of the outermost mapping.
func outermost(line string) bool {
	return line != "" && !strings.ContainsRune(" \t\n#-]}.%", rune(line[0]))
}

// readableLines is how many lines the longest beginning has that can be read. Above some
// hundred lines it takes what is readable to go on being so up to that line, as it is but
// within brackets.
func readableLines(lines []string) int {
	const few = 300
	low, high := 0, len(lines)
	for high-low > few {
		if mid := (low + high) / 2; readable(lines[:mid]) {
			low = mid
		} else {
			high = mid
		}
	}
	for n := high - 1; n > low; n-- {
		if readable(lines[:n]) {
			return n
		}
	}
	return low
}

// readable reports whether lines are YAML, of one document or several.
func readable(lines []string) bool {
	dec := yaml.NewDecoder(strings.NewReader(strings.Join(lines, "")))
	for {
		var n yaml.Node
		if err := dec.Decode(&n); err != nil {
			return err.Error() == "EOF"
		}
	}
}
