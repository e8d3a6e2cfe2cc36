package check

import (
	"slices"
	"testing"
	"time"

	"cuewright/audio/words"
	"cuewright/cues"
	"cuewright/cues/kind"
	"cuewright/cues/phrase"
	"cuewright/plan"
	"cuewright/plan/class"
	"cuewright/plan/problem"
)

// even speaks every word in 400 ms.
type even struct{}

func (even) Measure(text string) (cues.Spoken, []string) { return cues.Estimate(text), nil }
func (even) Select(text string) cues.Takes {
	return cues.Takes{Length: cues.Estimate(text).Length}
}

// list is a class of two segments of 5 minutes with the given cues and nothing else.
func list(t *testing.T, made ...cues.Cue) *cues.List {
	t.Helper()
	p, found := plan.Read("x.yaml", []byte("class: X\nunits: km/h\ncalls: {confirm: none}\nmain: [{speed: 8, for: 5m}, {speed: 9, for: 5m}]\n"))
	if len(found) > 0 {
		t.Fatal(found)
	}
	c, _ := class.Unfold(p)
	for i := range made {
		made[i].Lane, made[i].File = cues.Speech, "list.csv"
		if made[i].Length == 0 {
			made[i].Length = 400 * time.Millisecond * time.Duration(len(words.Of(made[i].Text)))
		}
	}
	return &cues.List{Class: c, Book: phrase.English(), Cues: made}
}

// kinds are what a check finds besides what is missing from so short a list.
func kinds(l *cues.List) []problem.Kind {
	var out []problem.Kind
	for _, p := range List(l, even{}) {
		if !slices.Contains([]problem.Kind{"gap", "unwarned", "uncounted"}, p.Kind) {
			out = append(out, p.Kind)
		}
	}
	return out
}

// TestLimits has a pair for each limit of the checks, just inside and just outside.
func TestLimits(t *testing.T) {
	const ms = time.Millisecond
	say := func(start time.Duration, text string) cues.Cue {
		return cues.Cue{Start: start, Kind: kind.Say, Text: text}
	}
	tests := []struct {
		name  string
		cues  []cues.Cue
		wants problem.Kind // nothing inside the limit
	}{
		{"a pause that is heard", []cues.Cue{say(60*time.Second, "go"), say(60*time.Second+600*ms, "on")}, ""},
		{"a pause that is not", []cues.Cue{say(60*time.Second, "go"), say(60*time.Second+599*ms, "on")}, "crowded"},
		{"no pause", []cues.Cue{say(60*time.Second, "go"), say(60*time.Second+400*ms, "on")}, "crowded"},
		{"shared time", []cues.Cue{say(60*time.Second, "go"), say(60*time.Second+399*ms, "on")}, "overlap"},
		{"up to the change", []cues.Cue{say(5*time.Minute-400*ms, "go")}, ""},
		{"across the change", []cues.Cue{say(5*time.Minute-399*ms, "go")}, "cut-off"},
		{"the half, 15 s early", []cues.Cue{{Start: 5*time.Minute - 15*time.Second, Kind: kind.Halfway, Text: "half of it"}}, ""},
		{"the half, earlier", []cues.Cue{{Start: 5*time.Minute - 15*time.Second - ms, Kind: kind.Halfway, Text: "half of it"}}, "untrue"},
		{"the half, 15 s late", []cues.Cue{{Start: 5*time.Minute + 15*time.Second, Kind: kind.Halfway, Text: "half of it"}}, ""},
		{"the half, later", []cues.Cue{{Start: 5*time.Minute + 15*time.Second + ms, Kind: kind.Halfway, Text: "half of it"}}, "untrue"},
		{"a time left, 1 s off", []cues.Cue{{Start: 4*time.Minute + time.Second, Kind: kind.Left, Text: "one minute left"}}, ""},
		{"a time left, further off", []cues.Cue{{Start: 4*time.Minute + time.Second + ms, Kind: kind.Left, Text: "one minute left"}}, "untrue"},
		{"a warning of 10 s", []cues.Cue{{Start: 5*time.Minute - 10*time.Second, Kind: kind.Ahead, Text: "speed nine"}}, ""},
		{"a warning of less", []cues.Cue{{Start: 5*time.Minute - 10*time.Second + ms, Kind: kind.Ahead, Text: "speed nine"}}, "late"},
	}
	for _, test := range tests {
		got := kinds(list(t, test.cues...))
		if want := []problem.Kind{test.wants}; test.wants == "" && len(got) > 0 || test.wants != "" && !slices.Equal(got, want) {
			t.Errorf("%s: %q, want %q", test.name, got, test.wants)
		}
	}
}
