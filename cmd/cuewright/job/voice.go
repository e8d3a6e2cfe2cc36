package job

import (
	"context"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"cuewright/audio/voice"
	"cuewright/cues/phrase"
	"cuewright/cues/track"
	"cuewright/plan/problem"
	"cuewright/plan/settings"
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

// openVoice opens the folder of the options, or else of the plan, or else the built-in
// voice, and returns the book of its language and its own words. A folder that is not
// there, or a voice.yaml that cannot be read, is a problem of the plan, and there is no
// speaker then.
func (j *Job) openVoice(ctx context.Context, l *Loader) (*phrase.Book, error) {
	j.folder = l.options.Voice
	if j.folder == "" {
		j.folder = j.besidePlan(j.Plan.Voice.Value)
	}
	if j.folder != "" {
		switch info, err := os.Stat(j.folder); {
		case err != nil && l.options.Voice != "":
			return nil, fmt.Errorf("--voice: %w", err)
		case err != nil || !info.IsDir():
			j.add(voiceProblem(j.Plan.File, j.Plan.Voice.Pos, "there is no folder "+j.folder))
			return nil, nil
		}
	}
	files, book, found, err := OpenBook(j.folder)
	if err != nil {
		return nil, err
	}
	if j.add(found...); book == nil {
		return nil, nil
	}
	j.files = files
	j.Speaker, err = l.speaker(ctx, j, book)
	if err != nil {
		j.add(voiceProblem(j.Plan.File, j.Plan.Voice.Pos, j.folder+": "+err.Error()))
		return nil, nil
	}
	return book, nil
}

// besidePlan is the path of a file or folder that the plan names; "" for none.
func (j *Job) besidePlan(path string) string {
	if path == "" || filepath.IsAbs(path) {
		return path
	}
	return filepath.Join(filepath.Dir(j.Name), path)
}

// OpenBook opens a voice's folder, or the built-in voice for "", and the sentence book of
// its language and its own words. The book is nil where its voice.yaml is wrong, and the
// problems say how. The error is for a folder that cannot be opened.
func OpenBook(folder string) (fs.FS, *phrase.Book, []problem.Problem, error) {
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
		return files, nil, []problem.Problem{voiceProblem(file, problem.Pos{}, err.Error())}, nil
	}
	book, names, found := phrase.ForVoice(file, data)
	for i, name := range names.Keys {
		what, ofText, err := voice.CheckName(files, name.Value, names.Items[i].Value)
		switch {
		case err != nil:
			return nil, nil, nil, err
		case ofText:
			found = append(found, voiceProblem(file, names.Items[i].Pos, what))
		case what != "":
			found = append(found, voiceProblem(file, name.Pos, what))
		}
	}
	if len(found) > 0 {
		problem.Sort(found)
		return files, nil, found, nil
	}
	return files, book, nil, nil
}

func voiceProblem(file string, pos problem.Pos, message string) problem.Problem {
	return problem.Problem{Severity: problem.Error, Kind: problem.Voice, File: file, Pos: pos, Message: message}
}

// speaker opens the voice of a job, whose folder is known, to speak a book.
func (l *Loader) speaker(ctx context.Context, j *Job, book *phrase.Book) (*track.Speaker, error) {
	open := func(t settings.Track) (*track.Speaker, error) {
		return track.OpenSpeaker(ctx, j.files, book, t, l.options.Cache)
	}
	if j.folder != "" {
		return open(j.Plan.Track)
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	form := voiceForm{int64(j.Plan.Track.Rate.Value), j.Plan.Track.Presence.Value}
	if l.demo[form] == nil {
		s, err := open(j.Plan.Track)
		if err != nil {
			return nil, err
		}
		l.demo[form] = s
	}
	return l.demo[form].Another(), nil
}

// addFaults warns of recordings that were left out or read with reservations.
func (j *Job) addFaults() {
	for _, f := range j.Speaker.Voice.Faults() {
		message := f.Message
		if f.Unusable {
			message += "; it counts as not recorded"
		}
		j.add(problem.Problem{Severity: problem.Warning, Kind: problem.Recording, File: filepath.Join(j.folder, f.File), Message: message})
	}
}
