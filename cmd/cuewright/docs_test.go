package main

import (
	"bytes"
	"context"
	"fmt"
	"image/png"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"cuewright/cmd/cuewright/cli"
	"cuewright/cmd/cuewright/guides"
	"cuewright/cues/track"
)

// What a reader meets first has to be read in a minute, and its picture fetched in a moment.
const (
	maxReadmeWords  = 900
	maxPictureBytes = 150 << 10
)

const picture = "samples/class-page.png"

// docs are the README and the guides, by their paths from the repository's root.
func docs() []string {
	paths := []string{"README.md"}
	for _, topic := range guides.Topics {
		paths = append(paths, guidePath(topic))
	}
	return paths
}

func guidePath(topic string) string { return "cmd/cuewright/guides/" + topic + ".md" }

// A fence is a block of a document, with the comment in front of it that says what
// the block is.
type fence struct {
	line    int // of its first line
	kind    string
	comment string
	lines   []string
}

// readDoc returns the fences of a document. A comment without a fence after it stands
// as one without a kind.
func readDoc(t *testing.T, path string) (all []fence) {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(string(data), "\n")
	for i := 0; i < len(lines); i++ {
		if comment, ok := strings.CutPrefix(lines[i], "<!-- "); ok {
			all = append(all, fence{line: i + 1, comment: strings.TrimSuffix(comment, " -->")})
			continue
		}
		kind, ok := strings.CutPrefix(lines[i], "```")
		if !ok {
			continue
		}
		f := fence{line: i + 2, kind: kind}
		if n := len(all); n > 0 && all[n-1].kind == "" && all[n-1].line == i {
			f.comment = all[n-1].comment
			all = all[:n-1]
		}
		for i++; i < len(lines) && lines[i] != "```"; i++ {
			f.lines = append(f.lines, lines[i])
		}
		all = append(all, f)
	}
	return all
}

// TestDocs follows the README and each guide in a folder of its own, from top to bottom:
//
//	```console                a session: commands after "$ ", and what they print, all of
//	                          it; "…" stands for what is left out, whole lines or a line's end
//	```sh                     commands that need what not every machine has: only their
//	                          names and options are looked at
//	<!-- file NAME -->        the block that follows is written to that file
//	<!-- edit NAME: A => B --> A, which stands once in the file, becomes B
func TestDocs(t *testing.T) {
	root, err := filepath.Abs("../..")
	if err != nil {
		t.Fatal(err)
	}
	for _, path := range docs() {
		t.Run(path, func(t *testing.T) {
			fences := readDoc(t, filepath.Join(root, path))
			t.Chdir(t.TempDir())
			if err := os.Symlink(filepath.Join(root, "samples"), "samples"); err != nil {
				t.Fatal(err)
			}
			for _, f := range fences {
				if err := follow(f); err != nil {
					t.Errorf("%s:%d: %v", path, f.line, err)
				}
			}
		})
	}
}

// follow does what a block of a document says.
func follow(f fence) error {
	name, isFile := strings.CutPrefix(f.comment, "file ")
	edit, isEdit := strings.CutPrefix(f.comment, "edit ")
	switch {
	case isFile:
		if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
			return err
		}
		return os.WriteFile(name, []byte(strings.Join(f.lines, "\n")+"\n"), 0o644)
	case isEdit && f.kind == "":
		return editFile(edit)
	case f.kind == "console":
		return session(f.lines)
	case f.kind == "sh":
		for _, line := range f.lines {
			if err := checkUsage(line); err != nil {
				return err
			}
		}
		return nil
	}
	return fmt.Errorf("nothing is known to do with a block %q, comment %q", f.kind, f.comment)
}

func editFile(edit string) error {
	name, change, ok := strings.Cut(edit, ": ")
	before, after, arrow := strings.Cut(change, " => ")
	if !ok || !arrow {
		return fmt.Errorf("%q is not NAME: A => B", edit)
	}
	data, err := os.ReadFile(name)
	if err != nil {
		return err
	}
	if n := strings.Count(string(data), before); n != 1 {
		return fmt.Errorf("%q stands %d times in %s", before, n, name)
	}
	return os.WriteFile(name, []byte(strings.Replace(string(data), before, after, 1)), 0o644)
}

// session runs the commands of a session and compares what they print.
func session(lines []string) error {
	for len(lines) > 0 {
		command, isCommand := strings.CutPrefix(lines[0], "$ ")
		if !isCommand {
			return fmt.Errorf("%q is no command", lines[0])
		}
		shown := lines[1:]
		if i := slices.IndexFunc(shown, func(s string) bool { return strings.HasPrefix(s, "$ ") }); i >= 0 {
			shown = shown[:i]
		}
		lines = lines[1+len(shown):]
		if err := runShown(command, shown); err != nil {
			return fmt.Errorf("%s: %w", command, err)
		}
	}
	return nil
}

// comment is what follows a command in its line.
var comment = regexp.MustCompile(`\s+#.*`)

// runShown runs one command of a session. What builds and tests the program itself is
// not run: this test is part of it.
func runShown(command string, shown []string) error {
	command = comment.ReplaceAllString(command, "")
	if command == "go build ./cmd/cuewright" || command == "go test ./..." {
		return nil
	}
	rest, ok := strings.CutPrefix(command, "cuewright ")
	if !ok {
		if rest, ok = strings.CutPrefix(command, "go run ./cmd/cuewright "); !ok {
			return fmt.Errorf("only this program is run")
		}
	}
	var out bytes.Buffer
	status := run(context.Background(), strings.Fields(rest), &out, &out)
	if status == cli.Failed || status == cli.Problems && len(shown) == 0 {
		return fmt.Errorf("status %d: %s", status, out.String())
	}
	for len(shown) > 0 && shown[len(shown)-1] == "" {
		shown = shown[:len(shown)-1]
	}
	if len(shown) > 0 && !printsAs(strings.Split(strings.TrimSuffix(out.String(), "\n"), "\n"), shown) {
		return fmt.Errorf("it prints\n%s\nshown is\n%s", out.String(), strings.Join(shown, "\n"))
	}
	return nil
}

// printsAs reports whether lines are those shown, where "…" stands for any lines, or
// for the end of one.
func printsAs(printed, shown []string) bool {
	if len(shown) == 0 {
		return len(printed) == 0
	}
	if shown[0] == "…" {
		return printsAs(printed, shown[1:]) || len(printed) > 0 && printsAs(printed[1:], shown)
	}
	if len(printed) == 0 {
		return false
	}
	begin, cut := strings.CutSuffix(shown[0], "…")
	return (printed[0] == shown[0] || cut && strings.HasPrefix(printed[0], begin)) && printsAs(printed[1:], shown[1:])
}

// checkUsage finds a command that is not there, or that has no such option.
func checkUsage(line string) error {
	words := strings.Fields(comment.ReplaceAllString(strings.TrimPrefix(line, "$ "), ""))
	if len(words) < 2 || words[0] != "cuewright" {
		return fmt.Errorf("%q is no command of this program", line)
	}
	for _, c := range program().Commands {
		if c.Name != words[1] {
			continue
		}
		options := c.OptionNames()
		for _, w := range words[2:] {
			if strings.HasPrefix(w, "-") && !slices.Contains(options, w) {
				return fmt.Errorf("%q: %s has no option %s", line, c.Name, w)
			}
		}
		return nil
	}
	return fmt.Errorf("%q: there is no command %s", line, words[1])
}

// TestDocsTellAll: some guide names every option, links lead to files, and the README
// is short, links every guide and shows the page.
func TestDocsTellAll(t *testing.T) {
	t.Chdir("../..")
	var text strings.Builder
	links := map[string][]string{}
	for _, path := range append(docs(), "DEVELOPERS.md", "samples/README.md") {
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if path != "README.md" && slices.Contains(docs(), path) {
			text.Write(data)
		}
		for _, m := range regexp.MustCompile(`\]\(([^)]+)\)`).FindAllStringSubmatch(string(data), -1) {
			target := filepath.Join(filepath.Dir(path), m[1])
			links[path] = append(links[path], target)
			if _, err := os.Stat(target); err != nil {
				t.Errorf("%s links to %s: %v", path, m[1], err)
			}
		}
		if words := len(strings.Fields(string(data))); path == "README.md" && words > maxReadmeWords {
			t.Errorf("the README has %d words, at most %d are meant", words, maxReadmeWords)
		}
	}
	for _, form := range track.Forms() {
		guide, _ := guides.Text("tracks")
		for where, text := range map[string]string{"the guide tracks": guide, "help render": output(t, "help", "render"), "help page": output(t, "help", "page")} {
			if !regexp.MustCompile(`(?i)\b` + string(form) + `\b`).MatchString(text) {
				t.Errorf("%s does not name the form %s", where, form)
			}
		}
	}
	for _, want := range append(docs()[1:], picture, "DEVELOPERS.md", "LICENSE", "samples/README.md") {
		if !slices.Contains(links["README.md"], want) {
			t.Errorf("the README does not link to %s", want)
		}
	}
	for _, c := range program().Commands {
		for _, o := range c.OptionNames() { // --help among them
			if !regexp.MustCompile(`[^\w-]` + o + `[^\w-]`).MatchString(text.String()) {
				t.Errorf("no guide names the option %s of %s", o, c.Name)
			}
		}
		if !regexp.MustCompile(`cuewright ` + c.Name + `\b`).MatchString(text.String()) {
			t.Errorf("no guide names the command %s", c.Name)
		}
	}
}

// TestPicture: the page's picture fits into the README.
func TestPicture(t *testing.T) {
	data, err := os.ReadFile("../../" + picture)
	if err != nil {
		t.Fatal(err)
	}
	shape, err := png.DecodeConfig(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	if shape.Width != 900 || shape.Height < 600 || len(data) > maxPictureBytes {
		t.Errorf("the picture has %d x %d points and %d bytes", shape.Width, shape.Height, len(data))
	}
}

// TestHelpTopics: help shows guides and commands, and says what it knows.
func TestHelpTopics(t *testing.T) {
	general := output(t, "help")
	for _, topic := range guides.Topics {
		want, _ := guides.Text(topic)
		if got := output(t, "help", topic); got != want {
			t.Errorf("help %s prints %q", topic, got)
		}
		if !strings.Contains(general, "\n  "+topic+" ") {
			t.Errorf("help does not list %s", topic)
		}
		if slices.ContainsFunc(program().Commands, func(c *cli.Command) bool { return c.Name == topic }) {
			t.Errorf("%s is a command too: its guide cannot be shown", topic)
		}
	}
	for _, test := range []struct{ args, want string }{
		{"help voice", `there is no command or guide "voice": did you mean "voices"? Accepted: render, `},
		{"help nonsense", `there is no command or guide "nonsense"; accepted: render, check, `},
		{"help nonsense", ", effort, changes\n"},
		{"measuring", `there is no command "measuring"; 'cuewright help measuring' is a guide` + "\n"},
	} {
		var out, errOut bytes.Buffer
		if status := run(context.Background(), strings.Fields(test.args), &out, &errOut); status != cli.Failed || out.Len() > 0 || !strings.Contains(errOut.String(), test.want) {
			t.Errorf("%s: status %d, %s%s", test.args, status, out.String(), errOut.String())
		}
	}
}
