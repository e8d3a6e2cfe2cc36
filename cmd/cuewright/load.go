package main

import (
	"context"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"cuewright/audio/voice"
	"cuewright/cues"
	"cuewright/cues/check"
	"cuewright/cues/edit"
	"cuewright/cues/phrase"
	"cuewright/cues/track"
	"cuewright/plan"
	"cuewright/plan/class"
	"cuewright/plan/class/advise"
	"cuewright/plan/fit"
	"cuewright/plan/problem"
	"cuewright/samples"
)

// samplePrefix marks a built-in plan.
const samplePrefix = "sample:"

// A job is one plan, at one level, on its way to a track.
type job struct {
	name     string // as the user gave it
	plan     *plan.Plan
	class    *class.Class      // nil where the plan has errors
	speaker  *track.Speaker    // nil there too
	list     *cues.List        // nil there too, and where an edited one cannot be read
	folder   string            // of the voice; nothing for the built-in one
	files    fs.FS             // of the voice
	drafted  string            // what was not recorded and who speaks it, nothing in a full voice
	cueList  string            // the file of --cues, nothing without
	problems []problem.Problem // of everything so far, sorted
}

// stem is the plan's file name without folder and ending: the track's name.
func (j *job) stem() string {
	base := filepath.Base(strings.TrimPrefix(j.name, samplePrefix))
	return strings.TrimSuffix(base, filepath.Ext(base))
}

// level is the one the class was made for.
func (j *job) level() class.Level {
	if j.class == nil {
		return class.NoLevel
	}
	return j.class.Options.Level
}

// trackName is the file name of a plan's track, without its ending.
func trackName(name string, level class.Level, draft bool) string {
	track := (&job{name: name}).stem()
	if level != class.NoLevel {
		track += "-" + string(level)
	}
	if draft {
		track += "-draft"
	}
	return track
}

func readPlan(name string) (*plan.Plan, []problem.Problem, error) {
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

// load takes a plan as far as a checked list, for a command that makes one class.
func load(ctx context.Context, name string, set *settings) (*job, error) {
	levels, err := set.levels(false)
	if err != nil {
		return nil, err
	}
	jobs, err := loadLevels(ctx, name, set, levels)
	if err != nil {
		return nil, err
	}
	return jobs[0], nil
}

// loadLevels takes a plan as far as a checked list for each of the levels. It is read
// once, and so is its voice: the levels share its recordings. What is wrong with the
// plan, its voice or a list is in the jobs' problems; there is only one job where the
// plan has errors. The error is for what cannot be read at all.
func loadLevels(ctx context.Context, name string, set *settings, levels []class.Level) ([]*job, error) {
	p, found, err := readPlan(name)
	if err != nil {
		return nil, err
	}
	first := &job{name: name, plan: p, problems: found, cueList: set.cueList}
	if len(found) > 0 {
		return []*job{first}, nil
	}
	first.checkMusic(ctx)
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	book, err := first.openVoice(ctx, set.voice)
	if err != nil {
		return nil, err
	}
	jobs := make([]*job, len(levels))
	classes := make([]*class.Class, len(levels))
	for i, level := range levels {
		setting, err := set.setting(p, level)
		if err != nil {
			return nil, err
		}
		j := *first
		j.problems = slices.Clone(first.problems)
		j.class, found = setting.Unfold(p)
		j.add(found)
		j.add(fit.Check(p, j.class.Length))
		j.add(advise.Class(j.class))
		jobs[i], classes[i] = &j, j.class
	}
	if first.speaker != nil {
		if set.draft {
			if err := first.standIn(ctx, book, classes); err != nil {
				return nil, err
			}
		}
		for _, j := range jobs {
			j.speaker, j.drafted = first.speaker.Another(), first.drafted
			if err := j.schedule(ctx, book, set.cueList); err != nil {
				return nil, err
			}
		}
	}
	for _, j := range jobs {
		problem.Sort(j.problems)
	}
	return jobs, nil
}

// schedule makes the list of a job that has a speaker and checks it; cueList is an
// edited list to take instead, if any.
func (j *job) schedule(ctx context.Context, book *phrase.Book, cueList string) error {
	j.list = j.speaker.Schedule(j.class, book)
	if err := ctx.Err(); err != nil { // or recordings would count as not there
		return err
	}
	if j.drafted != "" {
		j.list.Title += " (draft)"
	}
	j.add(j.list.Problems)
	if cueList != "" {
		data, err := os.ReadFile(cueList)
		if err != nil {
			return err
		}
		var found []problem.Problem
		j.list, found = edit.Read(cueList, data, j.list, j.speaker)
		j.add(found)
	}
	if j.list != nil {
		j.add(j.checked())
	}
	j.addFaults()
	return nil
}

// checked is what is wrong with the list as it will be heard. Where rows of an edited
// list were left out for their errors, what only their absence causes is not said.
func (j *job) checked() []problem.Problem {
	found := check.List(j.list, j.speaker)
	unread := func(p problem.Problem) bool { return p.Kind == "list" && p.Severity == problem.Error }
	if slices.ContainsFunc(j.problems, unread) {
		absent := []problem.Kind{"gap", "unwarned", "uncounted"}
		found = slices.DeleteFunc(found, func(p problem.Problem) bool { return slices.Contains(absent, p.Kind) })
	}
	return found
}

func (j *job) add(found []problem.Problem) { j.problems = append(j.problems, found...) }

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
		j.voiceProblem(file, problem.Pos{}, err.Error())
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

func (j *job) voiceProblem(file string, pos problem.Pos, message string) {
	j.add([]problem.Problem{{Severity: problem.Error, Kind: "voice", File: file, Pos: pos, Message: message}})
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
		j.add([]problem.Problem{{Severity: problem.Warning, Kind: "recording", File: filepath.Join(j.folder, f.File), Message: message}})
	}
}

// hasErrors reports whether the track must not be made.
func (j *job) hasErrors() bool { return problem.HasErrors(j.problems) }

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
