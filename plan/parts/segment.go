package parts

import (
	"regexp"

	"gopkg.in/yaml.v3"

	"cuewright/plan/problem"
	"cuewright/plan/settings"
	"cuewright/plan/strict"
	"cuewright/plan/value"
)

// Targets are the numbers a runner dials in and runs to.
type Targets struct {
	Speed   value.Speeds              `key:"speed" doc:"one speed or [slow, fast], in the plan's units"`
	RPE     value.Ratings             `key:"feel" doc:"perceived exertion from 0 to 10 in halves (Borg's CR10 scale), one number or [easy, hard], in place of a speed"`
	Incline value.Incline             `key:"incline" in:"-15..40" what:"an incline of" signed:"or each: {incline: %s} for a change from set to set" doc:"percent grade"`
	Cadence value.StepRate            `key:"cadence" in:"60..220" what:"a cadence of" signed:"or each: {cadence: %s} for a change from set to set" doc:"steps a minute, both feet counted; the click sounds at it"`
	Gait    strict.Choice[value.Gait] `key:"gait" one-of:"walk run" doc:"walk or run, where the speed leaves it open"`
	Role    strict.Choice[value.Role] `key:"role" one-of:"work recovery easy floor" doc:"what it is for, floor for off the belt; guessed where it is left out"`
}

// An Effort is a set of targets with a name.
type Effort struct {
	Pos problem.Pos
	Targets
	Calls settings.OwnCalls `key:"calls" doc:"calls of its own"`
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
	Each  Each              `key:"each" doc:"what changes from set to set: a change per set (+1, -10s), or a list with a value for each"`
	Ramp  value.Ramp        `key:"ramp" doc:"incline or speed in steps of equal length"`
	Say   []value.Say       `key:"say" doc:"sentences at fixed times"`
	Calls settings.OwnCalls `key:"calls" doc:"calls of its own"`
	Note  strict.Text       `key:"note" doc:"for the coach: shown, never spoken"`
}

// Hint explains keys that stand in the wrong place.
func (*Segment) Hint(key string) string {
	switch key {
	case "repeat", "repeats", "reps", "times", "rounds", "x":
		return "what is done several times is written sets: 4 with its segments: below it"
	case "rest", "water", "pause", "break", "recovery":
		return "a rest is an effort like others, with a speed or feel of its own and for: how long"
	case "name":
		return "a block of sets has a name, what a segment is called stands in efforts"
	}
	if timesX.MatchString(key) {
		return "what is done several times is written sets: 4 with its segments: below it"
	}
	return ""
}

// timesX is how often something is done, as on paper: 4x.
var timesX = regexp.MustCompile(`^[0-9]+ ?[x×]$`)

// Hint explains keys of a segment that stand in a block.
func (*Block) Hint(key string) string {
	if key == "effort" || key == "for" || key == "speed" || key == "incline" || key == "feel" {
		return "what is run in a set stands below segments: [{effort: …, for: …}]"
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

// Paced reports whether the targets say how hard to go.
func (t *Targets) Paced() bool { return t.Speed.Pos.IsSet() || t.RPE.Pos.IsSet() }

// Steps is how many steps a segment has: 1 without a ramp.
func (s *Segment) Steps() int {
	return s.Ramp.Steps(s.For.Value)
}
