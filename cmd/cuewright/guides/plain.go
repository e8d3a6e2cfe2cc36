package guides

import (
	"regexp"
	"strings"
	"unicode/utf8"
)

// columns is the width of a terminal that shows a guide without breaking its lines.
const columns = 80

// plain turns Markdown into text for a terminal. It knows what the guides use: headings,
// paragraphs, lists with hyphens, tables of two columns, blocks between fences,
// comments on a line of their own, and code, bold text and links within a line.
func plain(markdown string) string {
	var p printer
	lines := strings.Split(strings.TrimSpace(markdown), "\n")
	for i := 0; i < len(lines); i++ {
		line := lines[i]
		switch {
		case strings.HasPrefix(line, "<!--"):
		case strings.HasPrefix(line, "```"):
			first := i + 1
			for i++; i < len(lines) && lines[i] != "```"; i++ {
			}
			p.verbatim(lines[first:i])
		case strings.HasPrefix(line, "#"):
			p.heading(line)
		case strings.HasPrefix(line, "|"):
			first := i
			for i+1 < len(lines) && strings.HasPrefix(lines[i+1], "|") {
				i++
			}
			p.table(lines[first : i+1])
		case line == "":
			p.gap()
		default:
			first := i
			for i+1 < len(lines) && continues(lines[i+1]) {
				i++
			}
			p.paragraph(strings.Join(lines[first:i+1], " "))
		}
	}
	return p.b.String()
}

// continues reports whether a line belongs to the paragraph or list item before it.
func continues(line string) bool {
	return line != "" && !strings.HasPrefix(line, "- ") && !strings.HasPrefix(line, "|") && !strings.HasPrefix(line, "```")
}

type printer struct{ b strings.Builder }

// gap leaves one empty line, however often it is asked for.
func (p *printer) gap() {
	if s := p.b.String(); s != "" && !strings.HasSuffix(s, "\n\n") {
		p.b.WriteString("\n")
	}
}

func (p *printer) heading(line string) {
	text := inline(strings.TrimSpace(strings.TrimLeft(line, "#")))
	p.b.WriteString(strings.ToUpper(text) + "\n")
}

// verbatim indents a block as far as its longest line allows, by four columns at most.
func (p *printer) verbatim(lines []string) {
	indent := 4
	for _, line := range lines {
		indent = min(indent, max(0, columns-utf8.RuneCountInString(line)))
	}
	for _, line := range lines {
		p.b.WriteString(strings.TrimRight(strings.Repeat(" ", indent)+line, " ") + "\n")
	}
}

func (p *printer) paragraph(text string) {
	first, rest := "", ""
	if item, ok := strings.CutPrefix(text, "- "); ok {
		first, rest, text = "- ", "  ", item
	}
	p.wrap(first, rest, inline(text))
}

// table writes two columns, the second one wrapped beside the first.
func (p *printer) table(lines []string) {
	var rows [][2]string
	wide := 0
	for _, line := range lines {
		if strings.HasPrefix(line, "|---") {
			continue
		}
		left, right, _ := strings.Cut(strings.Trim(line, "| "), " | ")
		row := [2]string{inline(strings.TrimSpace(left)), inline(strings.TrimSpace(right))}
		wide = max(wide, utf8.RuneCountInString(row[0]))
		rows = append(rows, row)
	}
	for _, row := range rows {
		pad := strings.Repeat(" ", wide-utf8.RuneCountInString(row[0]))
		p.wrap("  "+row[0]+pad+"  ", strings.Repeat(" ", wide+4), row[1])
	}
}

// wrap writes words in lines of at most columns, the first one after first and the
// others after rest, which are as wide as each other or begin a paragraph.
func (p *printer) wrap(first, rest, text string) {
	line, empty := first, true
	for _, word := range strings.Fields(text) {
		if !empty && utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) > columns {
			p.b.WriteString(line + "\n")
			line, empty = rest, true
		}
		if !empty {
			line += " "
		}
		line, empty = line+word, false
	}
	p.b.WriteString(strings.TrimRight(line, " ") + "\n")
}

var (
	link = regexp.MustCompile(`\[([^\]]*)\]\(([^)]*)\)`)
	bold = regexp.MustCompile(`\*\*([^*]*)\*\*`)
	code = regexp.MustCompile("`([^`]*)`")
	// word is code that would be taken for a word of the sentence without quotes.
	word = regexp.MustCompile(`^[a-z][a-z -]*$`)
)

// inline takes the marks out of a line: a link to another guide becomes the command
// that shows it, any other its text.
func inline(text string) string {
	text = link.ReplaceAllStringFunc(text, func(s string) string {
		m := link.FindStringSubmatch(s)
		if topic, ok := strings.CutSuffix(m[2], ".md"); ok && !strings.Contains(topic, "/") {
			return "'cuewright help " + topic + "'"
		}
		return m[1]
	})
	text = bold.ReplaceAllString(text, "$1")
	return code.ReplaceAllStringFunc(text, func(s string) string {
		s = strings.Trim(s, "`")
		if word.MatchString(s) {
			return "'" + s + "'"
		}
		return s
	})
}
