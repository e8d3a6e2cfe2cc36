package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"unicode"

	"cuewright/plan/problem"
)

// writeFile makes the file at path with what write gives it: beside it first,
// under its name only when whole. Whatever goes wrong, a file that stood there
// stays as it was, and nothing else is left.
func writeFile(path string, write func(*os.File) error) error {
	err := writeBeside(path, write)
	// The name of the passing file beside it says nothing to anyone.
	if cause := (*os.PathError)(nil); errors.As(err, &cause) {
		return fmt.Errorf("cannot write %s: %w", path, cause.Err)
	}
	return err
}

func writeBeside(path string, write func(*os.File) error) (err error) {
	mode := os.FileMode(0o644)
	switch info, err := os.Stat(path); {
	case err == nil && !info.Mode().IsRegular():
		return fmt.Errorf("%s is not a file that can be replaced", path)
	case err == nil:
		mode = info.Mode().Perm()
		// A link keeps pointing where it did: the file it names is replaced.
		if path, err = filepath.EvalSymlinks(path); err != nil {
			return err
		}
	}
	f, err := os.CreateTemp(filepath.Dir(path), ".cuewright-*.part")
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			f.Close()
			os.Remove(f.Name())
		}
	}()
	if err := write(f); err != nil {
		return err
	}
	if err := f.Chmod(mode); err != nil {
		return err
	}
	if err := f.Close(); err != nil {
		return err
	}
	return os.Rename(f.Name(), path)
}

// checkEnding makes sure that a file's name ends as files of its kind do: a slip of
// the pen must not put a page in the place of a track. An ending "" stands for none.
func checkEnding(kind, output string, endings ...string) error {
	if slices.Contains(endings, strings.ToLower(filepath.Ext(output))) {
		return nil
	}
	accepted := strings.TrimSuffix(strings.Join(endings, ", "), ", ")
	if slices.Contains(endings, "") {
		accepted += ", or none"
	}
	return usageError(fmt.Sprintf("%s is not a name for %s; accepted endings: %s", output, kind, accepted))
}

// pageEndings are those of HTML files.
var pageEndings = []string{".html", ".htm"}

// sameFile reports whether two paths lead to one existing file.
func sameFile(a, b string) bool {
	x, err1 := os.Stat(a)
	y, err2 := os.Stat(b)
	return err1 == nil && err2 == nil && os.SameFile(x, y)
}

// printProblems writes one line a problem.
func printProblems(w io.Writer, found []problem.Problem) {
	for _, p := range found {
		fmt.Fprintln(w, visible(p.String()))
	}
}

// visible is text with what would work a terminal made visible: a file may have any
// name.
func visible(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsPrint(r) {
			return r
		}
		return unicode.ReplacementChar
	}, text)
}

// verdict ends a command according to its problems.
func verdict(found []problem.Problem, strict bool) error {
	if problem.HasErrors(found) || strict && len(found) > 0 {
		return errProblems
	}
	return nil
}

// tally counts problems in words: "no problems", "1 error, 2 warnings".
func tally(found []problem.Problem) string {
	errors := 0
	for _, p := range found {
		if p.Severity == problem.Error {
			errors++
		}
	}
	text := ""
	add := func(n int, what string) {
		if n == 0 {
			return
		}
		if text != "" {
			text += ", "
		}
		text += fmt.Sprintf("%d %s", n, what)
		if n != 1 {
			text += "s"
		}
	}
	add(errors, "error")
	add(len(found)-errors, "warning")
	if text == "" {
		return "no problems"
	}
	return text
}
