package job

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"slices"
	"strings"
	"testing"

	"cuewright/plan/class"
	"cuewright/samples"
)

// classOf writes a plan with a voice of its own and returns its file.
func classOf(t *testing.T, dir string) string {
	t.Helper()
	if err := os.MkdirAll(filepath.Join(dir, "voice"), 0o755); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(dir, "plan.yaml")
	plan := "class: Low Tide\nunits: km/h\nvoice: voice\nefforts:\n  even: {speed: [7.5, 10], incline: 1}\nmain: [{effort: even, for: 30s}]\n"
	if err := os.WriteFile(file, []byte(plan), 0o644); err != nil {
		t.Fatal(err)
	}
	return file
}

// TestNothingStaysOpen: the folder of a voice is open only while something of it is read,
// however many plans there are, and even where no collector closes what is forgotten.
func TestNothingStaysOpen(t *testing.T) {
	if runtime.GOOS != "linux" {
		t.Skip("open files are counted in /proc")
	}
	defer debug.SetGCPercent(debug.SetGCPercent(-1))
	open := func() int {
		files, err := os.ReadDir("/proc/self/fd")
		if err != nil {
			t.Fatal(err)
		}
		return len(files)
	}
	file := classOf(t, t.TempDir())
	loader := New(Options{})
	load := func() {
		if _, err := loader.Load(context.Background(), file, class.NoLevel); err != nil {
			t.Fatal(err)
		}
	}
	load()
	before := open()
	for range 20 {
		load()
	}
	if after := open(); after > before {
		t.Errorf("%d files are open after 20 plans, %d before", after, before)
	}
}

// TestLevels: jobs of several levels share their voice and differ in their class; a
// problem that one of them has alone is its own.
func TestLevels(t *testing.T) {
	jobs, err := New(Options{}).Load(context.Background(), "sample:"+samples.Plans()[0], class.Levels...)
	if err != nil {
		t.Fatal(err)
	}
	if len(jobs) != len(class.Levels) {
		t.Fatalf("%d jobs for %d levels", len(jobs), len(class.Levels))
	}
	for i, j := range jobs {
		if j.Level() != class.Levels[i] || j.List == nil || j.List.Class != j.Class {
			t.Errorf("job %d has the level %q and a list of its own: %v", i, j.Level(), j.List != nil)
		}
		if j.Speaker.Voice != jobs[0].Speaker.Voice || i > 0 && j.Speaker == jobs[0].Speaker {
			t.Errorf("job %d: one voice and a speaker of its own is meant", i)
		}
		if !strings.HasPrefix(TrackName(j.Name, j.Level(), true), samples.Plans()[0]+"-"+string(class.Levels[i])) {
			t.Errorf("the track is called %s", TrackName(j.Name, j.Level(), true))
		}
	}
}

// TestRenderKeepsErrorsApart: one plan that cannot be read does not keep the others from
// being made, and no input is overwritten.
func TestRenderKeepsErrorsApart(t *testing.T) {
	dir := t.TempDir()
	file := classOf(t, dir)
	nowhere := filepath.Join(dir, "nowhere.yaml")
	plans := []string{nowhere, file, file}
	paths := []string{filepath.Join(dir, "a.wav"), filepath.Join(dir, "b.wav"), filepath.Join(dir, "voice", "c.wav")}
	said := make(chan string, 10000)
	results := New(Options{Draft: true}).Render(context.Background(), plans, paths, Wanted{Levels: []class.Level{class.NoLevel}},
		func(format string, args ...any) { said <- fmt.Sprintf(format, args...) })
	if results[0].Err == nil || len(results[0].Tracks) > 0 {
		t.Errorf("a plan that is not there: %+v", results[0])
	}
	if made := results[1].Tracks[0]; made.Err != nil || made.Figures == "" || made.Unchanged {
		t.Errorf("the good one: %+v", made)
	}
	if _, err := os.Stat(paths[1]); err != nil {
		t.Error(err)
	}
	if bad := results[2].Tracks[0]; bad.Err == nil || bad.Figures != "" {
		t.Errorf("a track among the recordings: %+v", bad)
	}
	close(said)
	var lines []string
	for line := range said {
		lines = append(lines, line)
	}
	if !slices.Contains(lines, "plan-draft: mixing") || !slices.Contains(lines, "plan-draft: 100 %") {
		t.Errorf("progress tells %q", lines)
	}
}

// TestDraftOfList: a draft speaks the texts of an edited list, not only the plan's.
func TestDraftOfList(t *testing.T) {
	dir := t.TempDir()
	file := classOf(t, dir)
	list := filepath.Join(dir, "list.csv")
	rows := "start,lane,kind,text\n25.000,speech,say,wave at the ferry\n"
	if err := os.WriteFile(list, []byte(rows), 0o644); err != nil {
		t.Fatal(err)
	}
	load := func(draft bool) *Job {
		jobs, err := New(Options{Draft: draft, CueList: list}).Load(context.Background(), file, class.NoLevel)
		if err != nil {
			t.Fatal(err)
		}
		return jobs[0]
	}
	unsaid := func(j *Job) bool {
		for _, p := range j.Problems {
			if strings.Contains(p.Message, "wave at the ferry") && strings.Contains(p.Message, "not recorded") {
				return true
			}
		}
		return false
	}
	if !unsaid(load(false)) {
		t.Error("without a draft the text is not missed")
	}
	if j := load(true); unsaid(j) || j.List == nil || len(j.List.Cues) != 1 || j.Drafted == "" {
		t.Errorf("the draft does not speak the list: %v", j.Problems)
	}
}
