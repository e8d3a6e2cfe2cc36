package hint

import (
	"regexp"
	"strconv"
	"strings"
)

var (
	keyAndText = regexp.MustCompile(`^ *(?:- )?([^\s:#'"{\[][^:#]*): +([^'"{\[|>&*!%@].*: .*|[^'"{\[|>&*!%@].*:)$`)
	listOrKey  = regexp.MustCompile(`^( *(?:- +)*)[^ #-]`)
)

// Syntax tells what to do about a line that YAML cannot read, above which the lines before stand; "" where nobody
// knows.
func Syntax(before []string, line string) string {
	line = strings.TrimRight(line, "\r\n")
	indent := line[:len(line)-len(strings.TrimLeft(line, " \t"))]
	switch m := keyAndText.FindStringSubmatch(line); {
	case strings.Contains(indent, "\t"):
		return ": the line begins with a tab, write spaces in its place"
	case m != nil:
		return ": a text with a colon stands in quotes, " + m[1] + ": " + strconv.Quote(strings.TrimSpace(m[2]))
	}
	for i := len(before) - 1; i >= 0; i-- {
		m := listOrKey.FindStringSubmatch(strings.TrimRight(before[i], "\r\n"))
		if m == nil {
			continue
		}
		if have, want := len(indent), len(m[1]); have != want && have > strings.IndexByte(m[1]+"x", '-') && strings.Contains(m[1], "-") {
			return ": write " + strconv.Itoa(want) + " spaces before it, so that it stands under the key above"
		}
		break
	}
	return ""
}
