package main

import (
	"context"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"

	"cuewright/audio/voice"
	"cuewright/cues"
	"cuewright/cues/check"
	"cuewright/cues/edit"
	"cuewright/cues/phrase"
	"cuewright/cues/track"
	"cuewright/plan"
	"cuewright/plan/advise"
	"cuewright/plan/strict"
	"cuewright/samples"
)

// samplePrefix marks a built-in plan.
const samplePrefix = "sample:"

// A job is one plan on its way to a track.
type job struct {
	name     string // as the user gave it
	plan     *plan.Plan
	class    *plan.Class    // nil where the plan has errors
	speaker  *track.Speaker // nil there too
	list     *cues.List     // nil there too
	folder   string         // of the voice; nothing for the built-in one
	files    fs.FS          // of the voice
	drafted  string         // what was not recorded and who speaks it, nothing in a full voice
	problems []plan.Problem // of everything so far, sorted
}

// stem is the plan's file name without folder and ending: the track's name.
func (j *job) stem() string {
	base := filepath.Base(strings.TrimPrefix(j.name, samplePrefix))
	return strings.TrimSuffix(base, filepath.Ext(base))
}

// trackName is the file name of the track.
func trackName(plan string, set *settings) string {
	name := (&job{name: plan}).stem()
	if set.draft {
		name += "-draft"
	}
	return name + ".wav"
}

func readPlan(name string) (*plan.Plan, []plan.Problem, error) {
	sample, ok := strings.CutPrefix(name, samplePrefix)
	if !ok {
		return plan.Load(name)
	}
	data, err := samples.Plan(sample)
	if err != nil {
		return nil, nil, fmt.Errorf("there is no sample %q; there are %s", sample, strings.Join(samples.Plans(), ", "))
	}
	p, found := plan.Read(name, data)
	return p, found, nil
}

// load takes a plan as far as a checked list. What is wrong with the plan, its
// voice or its list is in the job's problems; the error is for what cannot be
// read at all.
func load(ctx context.Context, name string, set *settings) (*job, error) {
	j := &job{name: name}
	p, found, err := readPlan(name)
	if err != nil {
		return nil, err
	}
	j.plan, j.problems = p, found
	if len(found) > 0 {
		return j, nil
	}
	j.class, found = plan.Unfold(p)
	j.add(found)
	j.add(advise.Class(j.class))
	book, err := j.openVoice(ctx, set.voice)
	if err != nil {
		return nil, err
	}
	if j.speaker == nil {
		plan.Sort(j.problems)
		return j, nil
	}
	if set.draft {
		if err := j.standIn(ctx, book); err != nil {
			return nil, err
		}
	}
	j.list = j.speaker.Schedule(j.class, book)
	if err := ctx.Err(); err != nil { // or recordings would count as not there
		return nil, err
	}
	if j.drafted != "" {
		j.list.Title += " (draft)"
	}
	j.add(j.list.Problems)
	if set.cueList != "" {
		data, err := os.ReadFile(set.cueList)
		if err != nil {
			return nil, err
		}
		list, found := edit.Read(set.cueList, data, j.list, j.speaker)
		j.list = list
		j.add(found)
	}
	j.add(check.List(j.list, j.speaker))
	j.addFaults()
	plan.Sort(j.problems)
	return j, nil
}

func (j *job) add(found []plan.Problem) { j.problems = append(j.problems, found...) }

// openVoice opens the folder named on the command line, or else in the plan, or
// else the built-in voice, and returns the book of its language and its own
// words. A folder that is not there, or a voice.yaml that cannot be read, is a
// problem of the plan, and there is no speaker then.
func (j *job) openVoice(ctx context.Context, folder string) (*phrase.Book, error) {
	j.files = samples.Voice()
	switch {
	case folder != "":
		j.folder = folder
	case j.plan.Voice.Value != "":
		j.folder = j.plan.Voice.Value
		if !filepath.IsAbs(j.folder) {
			j.folder = filepath.Join(filepath.Dir(j.name), j.folder)
		}
	}
	if j.folder != "" {
		switch info, err := os.Stat(j.folder); {
		case err != nil && folder != "":
			return nil, fmt.Errorf("--voice: %w", err)
		case err != nil || !info.IsDir():
			j.voiceProblem(j.plan.File, j.plan.Voice.Pos, "there is no folder "+j.folder)
			return nil, nil
		}
		// A link in the folder that leads out of it is not followed.
		root, err := os.OpenRoot(j.folder)
		if err != nil {
			return nil, err
		}
		j.files = root.FS() // open as long as the program runs
	}
	book := j.book()
	if book == nil {
		return nil, nil
	}
	speaker, err := openSpeaker(ctx, j.files, j.folder, book, j.plan.Track)
	if err != nil {
		for line := range strings.Lines(err.Error()) {
			j.voiceProblem(j.plan.File, j.plan.Voice.Pos, filepath.Join(j.folder, strings.TrimSpace(line)))
		}
		return nil, nil
	}
	j.speaker = speaker
	return book, nil
}

// book is the sentence book of the voice; nil where its voice.yaml is wrong.
func (j *job) book() *phrase.Book {
	file := filepath.Join(j.folder, "voice.yaml")
	data, err := voice.Settings(j.files)
	if err != nil {
		j.voiceProblem(file, strict.Pos{}, err.Error())
		return nil
	}
	book, found := phrase.ForVoice(file, data)
	for _, bad := range found {
		j.voiceProblem(file, bad.Pos, bad.Message)
	}
	if len(found) > 0 {
		return nil
	}
	return book
}

func (j *job) voiceProblem(file string, pos strict.Pos, message string) {
	j.add([]plan.Problem{{Severity: plan.Error, Kind: "voice", File: file, Pos: pos, Message: message}})
}

// demoVoices are the built-in voice as it was opened for each form of a track,
// shared by all plans of a run: it is decoded once. A coach's own voice is opened
// for each plan, whose problems are then only those of its own recordings.
var demoVoices struct {
	sync.Mutex
	opened map[[2]int64]*track.Speaker
}

func openSpeaker(ctx context.Context, files fs.FS, folder string, book *phrase.Book, t plan.Track) (*track.Speaker, error) {
	if folder != "" {
		return track.OpenSpeaker(ctx, files, book, t, cacheFolder())
	}
	demoVoices.Lock()
	defer demoVoices.Unlock()
	key := [2]int64{int64(t.Rate.Value), t.Presence.Value}
	if s := demoVoices.opened[key]; s != nil {
		return s.Another(), nil
	}
	s, err := track.OpenSpeaker(ctx, files, book, t, cacheFolder())
	if err != nil {
		return nil, err
	}
	if demoVoices.opened == nil {
		demoVoices.opened = map[[2]int64]*track.Speaker{}
	}
	demoVoices.opened[key] = s
	return s.Another(), nil
}

// addFaults warns of recordings that were left out or read with reservations.
func (j *job) addFaults() {
	for _, f := range j.speaker.Voice.Faults() {
		message := f.Message
		if f.Unusable {
			message += "; it counts as not recorded"
		}
		j.add([]plan.Problem{{Severity: plan.Warning, Kind: "recording", File: filepath.Join(j.folder, f.File), Message: message}})
	}
}

// hasErrors reports whether the track must not be made.
func (j *job) hasErrors() bool { return plan.HasErrors(j.problems) }

// cacheFolder is where prepared clips are kept from run to run: the folder named
// by CUEWRIGHT_CACHE, none where that is "off", else one in the user's cache.
func cacheFolder() string {
	switch dir := os.Getenv("CUEWRIGHT_CACHE"); dir {
	case "off":
		return ""
	case "":
		user, err := os.UserCacheDir()
		if err != nil {
			return ""
		}
		return filepath.Join(user, "cuewright")
	default:
		return dir
	}
}
