// Package plan is what the coach wrote: a class as YAML, with the line and column of
// every value.
package plan

import (
	"fmt"
	"time"

	"gopkg.in/yaml.v3"

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

	Class    strict.Text                   `key:"class,required" doc:"the name of the class"`
	Coach    strict.Text                   `key:"coach" doc:"who gives it, for the titles"`
	Length   strict.Duration               `key:"length" doc:"what the timetable promises, without opening and closing; a mismatch is an error"`
	Units    strict.Choice[units.Unit]     `key:"units,required" one-of:"km/h mph min/km min/mile" doc:"the unit of every speed: km/h, mph, min/km or min/mile"`
	Audience strict.Choice[value.Audience] `key:"audience" one-of:"beginners mixed trained" doc:"who the class is for"`
	Voice    strict.Text                   `key:"voice" doc:"the folder of recordings, relative to the plan; the built-in demo voice without it"`
	Paces    value.Paces                   `key:"paces" doc:"paces of the room by name, one speed or [slow, fast]; speeds may be shares of them, like 95 % of threshold"`
	Efforts  strict.Map[Effort]            `key:"efforts" doc:"targets by name"`
	WarmUp   []Item                        `key:"warm-up" doc:"segments and sets before the main part"`
	Main     []Item                        `key:"main,required,filled" doc:"segments and sets of the main part"`
	CoolDown []Item                        `key:"cool-down" doc:"segments and sets after the main part"`
	Opening  settings.OwnWords             `key:"opening" doc:"own words for the opening"`
	Closing  settings.OwnWords             `key:"closing" doc:"own words for the closing"`
	Calls    settings.Calls                `key:"calls" doc:"when calls are made"`
	Click    settings.Click                `key:"click" doc:"the cadence click"`
	Bed      settings.Bed                  `key:"bed" doc:"music under the class"`
	Track    settings.Track                `key:"track" doc:"the form of the track"`
	Advice   settings.Advice               `key:"advice" doc:"the limits of the advice on the class"`
}

// Targets are the numbers a runner dials in and runs to.
type Targets struct {
	Speed   value.Speeds              `key:"speed" doc:"one speed or [slow, fast], in the plan's units"`
	RPE     value.Ratings             `key:"feel" doc:"perceived exertion from 0 to 10 in halves (Borg's CR10 scale), one number or [easy, hard], in place of a speed"`
	Incline value.Incline             `key:"incline" in:"-15..40" what:"an incline of" signed:"or each: {incline: %s} for a change from set to set" doc:"percent grade"`
	Cadence value.StepRate            `key:"cadence" in:"60..220" what:"a cadence of" signed:"or each: {cadence: %s} for a change from set to set" doc:"steps a minute, both feet counted; the click sounds at it"`
	Gait    strict.Choice[value.Gait] `key:"gait" one-of:"walk run" doc:"walk or run, where the speed leaves it open"`
	Role    strict.Choice[value.Role] `key:"role" one-of:"work recovery easy" doc:"what it is for; guessed where it is left out"`
}

// An Effort is a set of targets with a name.
type Effort struct {
	Pos problem.Pos
	Targets
}

// An Item of a part is one segment or a block of sets.
type Item struct {
	Segment *Segment
	Block   *Block
}

// Read takes a block where one of a block's own keys is given, else a segment.
func (i *Item) Read(n *yaml.Node, r *strict.Reader) {
	for k := 0; n.Kind == yaml.MappingNode && k < len(n.Content); k += 2 {
		switch n.Content[k].Value {
		case "sets", "segments", "between":
			i.Block = new(Block)
			r.Decode(n, i.Block)
			return
		}
	}
	// The node may be no mapping at all: reading it as a segment says so.
	s := new(Segment)
	r.Decode(n, s)
	if s.Pos.IsSet() {
		i.Segment = s
	}
}

// Schema refers to both forms, which [Schema] defines: sets stand in sets.
func (i *Item) Schema() map[string]any { return map[string]any{"$ref": "#/$defs/item"} }

// A Segment is one segment as written.
type Segment struct {
	Pos    problem.Pos
	Effort strict.Text  `key:"effort" doc:"the name of its effort"`
	For    value.Extent `key:"for" in:"3s..12h" doc:"how long it lasts: a time, a distance (400 metres), or remainder for what the length leaves"`
	Targets
	Each Each        `key:"each" doc:"what changes from set to set: a change per set (+1, -10s), or a list with a value for each"`
	Ramp value.Ramp  `key:"ramp" doc:"incline or speed in steps of equal length"`
	Say  []value.Say `key:"say" doc:"sentences at fixed times"`
	Note strict.Text `key:"note" doc:"for the coach: shown, never spoken"`
}

// Hint explains keys that stand in the wrong place.
func (*Segment) Hint(key string) string {
	switch key {
	case "repeat", "repeats", "reps", "times", "rounds", "x":
		return "what is done several times is written sets: 4 with its segments: below it"
	case "name":
		return "a block of sets has a name, what a segment is called stands in efforts"
	}
	return ""
}

// Each is how the values of a segment go from set to set, counted by the nearest sets around it.
type Each struct {
	Pos     problem.Pos
	Speed   value.Series[value.Speeds]   `key:"speed" doc:"+0.5, of a pace 5s faster, of a share +1 %; or a list"`
	RPE     value.Series[value.Ratings]  `key:"feel" doc:"+0.5; or a list"`
	Incline value.Series[value.Incline]  `key:"incline" in:"-15..40" what:"an incline of" doc:"+1 or -1; or a list"`
	Cadence value.Series[value.StepRate] `key:"cadence" in:"60..220" what:"a cadence of" doc:"+2; or a list"`
	For     value.Series[value.Extent]   `key:"for" in:"3s..12h" doc:"+10s or -10s; or a list"`
}

// A Block is a run of segments done several times. Its segments may be blocks themselves, two deep.
type Block struct {
	Pos      problem.Pos
	Name     strict.Text    `key:"name" doc:"what the block is called"`
	Sets     strict.Integer `key:"sets,required" in:"1..10000" doc:"how many times the segments are run"`
	Segments []Item         `key:"segments,required,filled" doc:"the segments of one set, or sets within it"`
	Between  []Segment      `key:"between" doc:"segments after every set but the last"`
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
	strict.Decode(data, p, &r)
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
