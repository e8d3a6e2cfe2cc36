// Package plan is what the coach wrote: a class as YAML, with the line and column of
// every value.
package plan

import (
	"fmt"
	"slices"
	"time"

	"cuewright/plan/parts"
	"cuewright/plan/problem"
	"cuewright/plan/settings"
	"cuewright/plan/strict"
	"cuewright/plan/units"
	"cuewright/plan/value"
)

// Limits of a class.
const (
	maxLength   = 12 * time.Hour // of a segment, and of all of them together
	maxSegments = 10_000         // after the sets are unfolded
)

// A Plan is what the coach wrote. Every value keeps its line and column; after
// [Read] has found no problem, the efforts and segments can be unfolded.
type Plan struct {
	// File is the plan's path as the user named it, for problems.
	File string
	// CommonFile is the path of the file that the plan has in common with others, "" for none.
	CommonFile string

	Class  strict.Text     `key:"class,required" doc:"the name of the class"`
	Length strict.Duration `key:"length" doc:"what the timetable promises, without opening and closing; a mismatch is an error"`
	Common strict.Text     `key:"common" doc:"a file beside the plan with what plans share: all but class, length, common and the parts"`
	Shared
	parts.Parts
}

// Hint explains keys that stand in the wrong place.
func (*Plan) Hint(key string) string {
	if key == "say" {
		return "own words stand in opening: {say: [texts]}, in closing, or in a segment: say: [{at: 10s, text: …}]"
	}
	return ""
}

// Shared is what plans may have in common, in a file of its own.
type Shared struct {
	Coach    strict.Text                   `key:"coach" doc:"who gives it, for the titles"`
	Units    strict.Choice[units.Unit]     `key:"units" one-of:"km/h mph min/km min/mile" doc:"the unit of every speed: km/h, mph, min/km or min/mile"`
	Audience strict.Choice[value.Audience] `key:"audience" one-of:"beginners mixed trained" doc:"who the class is for"`
	Voice    strict.Text                   `key:"voice" doc:"the folder of recordings, relative to the plan; the built-in demo voice without it"`
	Paces    value.Paces                   `key:"paces" doc:"paces of the room by name, one speed or [slow, fast]; speeds may be shares of them, like 95 % of threshold"`
	Efforts  strict.Map[parts.Effort]      `key:"efforts" doc:"targets by name"`
	Opening  settings.Opening              `key:"opening" doc:"own words for the opening, and an outline of the class"`
	Closing  settings.OwnWords             `key:"closing" doc:"own words for the closing"`
	Theme    []strict.Text                 `key:"theme" doc:"reminders of its own, said before those of the voice"`
	Calls    settings.Calls                `key:"calls" doc:"when calls are made"`
	Click    settings.Click                `key:"click" doc:"the cadence click"`
	Bed      settings.Bed                  `key:"bed" doc:"music under the class"`
	Track    settings.Track                `key:"track" doc:"the form of the track"`
	Advice   settings.Advice               `key:"advice" doc:"the limits of the advice on the class"`
}

// defaults are the values of a plan that gives none.
func defaults() *Plan {
	p := &Plan{}
	p.Calls, p.Click, p.Bed, p.Track, p.Advice = settings.Defaults()
	return p
}

// Load reads the plan file at path. The error is for a file that cannot be
// read at all; everything wrong with its content is among the problems.
func Load(path string) (*Plan, []problem.Problem, error) {
	data, err := strict.ReadFile(path)
	if err != nil {
		return nil, nil, err
	}
	p, problems := Read(path, data)
	return p, problems, nil
}

// Read reads a plan. file is its name in problems, which come sorted by place
// and are all errors. A plan with any of them cannot be unfolded, so it is nil then.
func Read(file string, data []byte) (*Plan, []problem.Problem) {
	p := defaults()
	p.File = file
	r := strict.Reader{File: file, Kind: problem.Plan}
	p.common(data, &r)
	strict.Decode(data, p, &r)
	if !p.Units.Pos.IsSet() && r.Root.IsSet() && !slices.Contains(r.Given, "units") {
		r.ErrorfAt(r.Root, "the key \"units\" is missing: the unit of every speed: km/h, mph, min/km or min/mile")
	}
	p.validate(&r)
	if problems := r.Problems(); len(problems) > 0 {
		return nil, problems
	}
	return p, nil
}

// Problem returns a problem of this plan.
func (p *Plan) Problem(s problem.Severity, kind problem.Kind, pos problem.Pos, format string, args ...any) problem.Problem {
	return problem.Problem{Severity: s, Kind: kind, File: p.File, Pos: pos, Message: fmt.Sprintf(format, args...)}
}

// Unit is the unit the plan's speeds are written in.
func (p *Plan) Unit() units.Unit { return p.Units.Value }

// SegmentBounds returns the shortest and the longest time that a segment lasts, as the tag
// of Segment.For has them.
func SegmentBounds() (low, high time.Duration) { return 3 * time.Second, maxLength }
