package hint

import (
	"regexp"
	"strconv"
	"strings"

	"gopkg.in/yaml.v3"
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

// BrokenLine is the line of a text, from 1, that makes it unreadable. Each key of the
// outermost mapping is read by itself, with what stands under it, so that what is never
// closed is found where it begins.
func BrokenLine(text string) int {
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
