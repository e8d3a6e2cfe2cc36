package main

import (
	"bytes"
	"cuewright/testdata/golden"
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

const (
	// maxLines is the size in lines of a room that a newcomer reads in an afternoon; 600
	// is what to aim at.
	maxLines = 900
	// maxNames is how many names of a room others have to know at most.
	maxNames = 24
)

// apart are the rooms that what judges a track must not reach, by any way: it would
// share their mistakes.
var apart = []string{"audio/mix", "audio/mix/master", "audio/mix/pcm", "audio/clip", "audio/review", "audio/voice", "audio/bed", "audio/encode", "cues/track", "cues/check"}

// TestShape holds all imports between rooms against testdata/rooms.txt, where each
// room has a line: an arrow that is new, or that is not used any more, shows in the
// file's diff (-update rewrites it). It holds the three floors and the size of each room.
func TestShape(t *testing.T) {
	out, err := exec.Command("go", "list", "-f", "{{.ImportPath}}\t{{.Dir}}\t{{.Doc}}\t{{join .Imports \" \"}}", "cuewright/...").Output()
	if err != nil {
		t.Fatal(err)
	}
	var rooms bytes.Buffer
	seen := map[string]bool{}
	for line := range strings.Lines(string(out)) {
		fields := strings.Split(strings.TrimSuffix(line, "\n"), "\t")
		room, dir, doc := strings.TrimPrefix(fields[0], "cuewright/"), fields[1], fields[2]
		seen[room] = true
		rooms.WriteString(room + ":")
		for _, i := range strings.Fields(fields[3]) {
			inner, ok := strings.CutPrefix(i, "cuewright/")
			if !ok {
				continue
			}
			rooms.WriteString(" " + inner)
			if from, to := floor(room), floor(inner); from < to || from == to && from != 0 && top(room) != top(inner) {
				t.Errorf("%s imports %s: audio knows nothing of running, plan nothing of sound, and neither of calls", room, inner)
			}
		}
		rooms.WriteString("\n")
		if doc == "" {
			t.Errorf("%s has no package comment that says its one subject", room)
		}
		if strings.Contains(fields[3], "os/exec") && room != "audio/ffmpeg" && room != "audio/draft" {
			t.Errorf("%s starts a program: audio/ffmpeg does, and audio/draft a computer voice", room)
		}
		lines, names := size(t, dir)
		if lines > maxLines || names > maxNames {
			t.Errorf("%s has %d lines and %d exported names: at most %d and %d are meant", room, lines, names, maxLines, maxNames)
		}
	}
	golden.Compare(t, "../../testdata/rooms.txt", rooms.String())
	deps, err := exec.Command("go", "list", "-deps", "cuewright/cues/verify").Output()
	if err != nil {
		t.Fatal(err)
	}
	for _, room := range apart {
		if strings.Contains(string(deps), "cuewright/"+room+"\n") {
			t.Errorf("cues/verify reaches %s, with whose mistakes it would agree", room)
		}
	}
}

// top is the first folder of a room.
func top(room string) string {
	first, _, _ := strings.Cut(room, "/")
	return first
}

// floor counts from the ground: what lies higher is made of what lies lower.
func floor(room string) int {
	switch top(room) {
	case "cmd":
		return 3
	case "cues":
		return 2
	case "audio", "plan":
		return 1
	}
	return 0 // samples, which are data
}

// size counts the lines of a room and its exported names at the top level, tests apart.
func size(t *testing.T, dir string) (lines, names int) {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(dir, "*.go"))
	if err != nil {
		t.Fatal(err)
	}
	count := func(id *ast.Ident) {
		if id.IsExported() {
			names++
		}
	}
	for _, file := range files {
		if strings.HasSuffix(file, "_test.go") {
			continue
		}
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		lines += bytes.Count(data, []byte("\n"))
		tree, err := parser.ParseFile(token.NewFileSet(), file, data, 0)
		if err != nil {
			t.Fatal(err)
		}
		for _, decl := range tree.Decls {
			switch d := decl.(type) {
			case *ast.FuncDecl:
				if d.Recv == nil {
					count(d.Name)
				}
			case *ast.GenDecl:
				for _, spec := range d.Specs {
					switch s := spec.(type) {
					case *ast.TypeSpec:
						count(s.Name)
					case *ast.ValueSpec:
						for _, name := range s.Names {
							count(name)
						}
					}
				}
			}
		}
	}
	return lines, names
}
