package job

import (
	"context"
	"fmt"
	"os"
	"path/filepath"

	"cuewright/cmd/cuewright/folder"
	"cuewright/cues/phrase"
	"cuewright/cues/track"
	"cuewright/plan/problem"
	"cuewright/plan/settings"
)

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
			j.add(folder.Wrong(j.Plan.File, j.Plan.Voice.Pos, "there is no folder "+j.folder))
			return nil, nil
		}
	}
	files, book, found, err := folder.Open(j.folder)
	if err != nil {
		return nil, err
	}
	if j.add(found...); book == nil {
		return nil, nil
	}
	j.files = files
	j.Speaker, err = l.speaker(ctx, j, book)
	if err != nil {
		j.add(folder.Wrong(j.Plan.File, j.Plan.Voice.Pos, j.folder+": "+err.Error()))
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
