// Package folder opens a voice's folder: its recordings, and the sentence book that its
// voice.yaml makes, with everything that is wrong with that file at once.
package folder

import (
	"io/fs"
	"os"
	"path/filepath"

	"cuewright/audio/voice"
	"cuewright/cues/phrase"
	"cuewright/plan/problem"
	"cuewright/samples"
)

// A recordings is a voice's folder. A link in it that leads out of it is not followed.
// Nothing of it stays open, however many plans there are.
type recordings string

// Open opens a file of the folder.
func (r recordings) Open(name string) (fs.File, error) {
	if !fs.ValidPath(name) {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrInvalid}
	}
	return os.OpenInRoot(string(r), name)
}

// Stat does not open the file, which may be a pipe that nobody writes to.
func (r recordings) Stat(name string) (fs.FileInfo, error) {
	root, err := os.OpenRoot(string(r))
	if err != nil {
		return nil, err
	}
	defer root.Close()
	return root.Stat(name)
}

// Open opens a voice's folder, or the built-in voice for "", and the sentence book of
// its language and its own words. The book is nil where its voice.yaml is wrong, and the
// problems say how. The error is for a folder that cannot be opened.
func Open(folder string) (fs.FS, *phrase.Book, []problem.Problem, error) {
	files := samples.Voice()
	if folder != "" {
		root, err := os.OpenRoot(folder)
		if err != nil {
			return nil, nil, nil, err
		}
		root.Close()
		files = recordings(folder)
	}
	file := filepath.Join(folder, "voice.yaml")
	data, err := voice.Settings(files)
	if err != nil {
		return files, nil, []problem.Problem{Wrong(file, problem.Pos{}, err.Error())}, nil
	}
	book, names, found := phrase.ForVoice(file, data)
	for i, name := range names.Keys {
		what, ofText, err := voice.CheckName(files, name.Value, names.Items[i].Value)
		switch {
		case err != nil:
			return nil, nil, nil, err
		case ofText:
			found = append(found, Wrong(file, names.Items[i].Pos, what))
		case what != "":
			found = append(found, Wrong(file, name.Pos, what))
		}
	}
	if len(found) > 0 {
		problem.Sort(found)
		return files, nil, found, nil
	}
	return files, book, nil, nil
}

// Wrong is a problem of a voice.
func Wrong(file string, pos problem.Pos, message string) problem.Problem {
	return problem.Problem{Severity: problem.Error, Kind: problem.Voice, File: file, Pos: pos, Message: message}
}
