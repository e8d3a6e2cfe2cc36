package guides

import (
	"io/fs"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"
)

// TestTopics: every file is a topic, and every topic a file that says what it is for.
func TestTopics(t *testing.T) {
	names, err := fs.Glob(files, "*.md")
	if err != nil {
		t.Fatal(err)
	}
	var want []string
	for _, topic := range Topics {
		want = append(want, topic+".md")
		if about := About(topic); about == "" || utf8.RuneCountInString(about) > 66 {
			t.Errorf("%s is for %q: one line, after the title's colon", topic, about)
		}
	}
	slices.Sort(want)
	if !slices.Equal(names, want) {
		t.Errorf("the files are %v, the topics %v", names, want)
	}
	if text, ok := Text("nonsense"); ok || text != "" {
		t.Errorf("there is a guide to nonsense: %q", text)
	}
}

// TestPlain shows all that the guides are written with, on a terminal.
func TestPlain(t *testing.T) {
	const markdown = `# Walks: out and back

A walk is **long** where ` + "`left`" + ` says so, and ends with ` + "`--home`" + `; [roads](roads.md) has more, [the rules](../../rules.txt) all of it.

<!-- file walk.yaml -->
` + "```yaml" + `
walk: round

for: 2h
` + "```" + `

- a first item that is so long that it does not fit into one line of a terminal, and
  goes on here
- a second

| option | what it does |
|---|---|
| ` + "`--home HOME`" + ` | where the walk ends, which is told in a second column that is wrapped |
| ` + "`-o`" + ` | out |

## After
The end.
`
	const want = `WALKS: OUT AND BACK

A walk is long where 'left' says so, and ends with --home; 'cuewright help
roads' has more, the rules all of it.

    walk: round

    for: 2h

- a first item that is so long that it does not fit into one line of a terminal,
  and goes on here
- a second

  option       what it does
  --home HOME  where the walk ends, which is told in a second column that is
               wrapped
  -o           out

AFTER
The end.
`
	if got := plain(markdown); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

// TestFits: no line of a guide is wider than a terminal, or still has marks of Markdown.
func TestFits(t *testing.T) {
	for _, topic := range Topics {
		text, _ := Text(topic)
		for line := range strings.Lines(text) {
			if n := utf8.RuneCountInString(strings.TrimSuffix(line, "\n")); n > columns {
				t.Errorf("%s: %d columns: %s", topic, n, line)
			}
			if strings.ContainsAny(line, "`") || strings.Contains(line, "**") || strings.Contains(line, "](") {
				t.Errorf("%s: a mark is left: %s", topic, line)
			}
		}
	}
}
