// Package export writes lists of cues for machines, spreadsheets, players and
// the eye. All times are those of the track's frames.
package export

import (
	"encoding/json"
	"io"

	"cuewright/audio"
	"cuewright/cues"
	"cuewright/cues/kind"
	"cuewright/plan/class"
	"cuewright/plan/class/role"
	"cuewright/plan/parts"
	"cuewright/plan/problem"
	"cuewright/plan/units"
	"cuewright/plan/value"
)

// Format counts changes of a Document that a program which reads it must know of: 2 has blocks, steps and
// distances, 3 segments off the belt and calls of the kinds return, confirm and repeat.
const Format = 3

// A Document is the stable JSON form of a class and its cues; the schema in
// testdata/list.schema.json describes it.
type Document struct {
	Format   int       `json:"format"` // [Format]
	Class    string    `json:"class"`
	Level    string    `json:"level"`
	Rate     int       `json:"rate"`   // frames per second
	Frames   int64     `json:"frames"` // of the whole track
	Segments []Segment `json:"segments"`
	Cues     []Cue     `json:"cues"`
	Problems []Problem `json:"problems"`
}

// A Segment of a Document. Start and End are frames of the track, End the first
// one after. Paces stand as seconds. A segment has a speed or a feel, the other is
// empty; off the belt both are.
type Segment struct {
	Start   int64      `json:"start"`
	End     int64      `json:"end"`
	Part    parts.Part `json:"part"`
	Effort  string     `json:"effort"`
	Set     int        `json:"set"`  // from 1, 0 outside sets
	Sets    int        `json:"sets"` // 0 outside
	Speed   []float64  `json:"speed"`
	Unit    string     `json:"unit"`
	Written Written    `json:"written"`
	Feel    []float64  `json:"feel"`    // perceived exertion, of ten
	Incline float64    `json:"incline"` // percent, 0 also where the plan gives none
	Cadence float64    `json:"cadence"` // steps a minute, 0 where the plan gives none
	Role    value.Role `json:"role"`    // what it is for, guessed where the plan does not say
	// What follows stands only where the plan has it.
	Block    string  `json:"block,omitempty"`    // the name of the sets
	Outer    *Outer  `json:"outer,omitempty"`    // the sets around them
	Step     int     `json:"step,omitempty"`     // of a ramp, from 1
	Steps    int     `json:"steps,omitempty"`    // of the ramp
	Distance float64 `json:"distance,omitempty"` // metres, that the length comes from
	Note     string  `json:"note,omitempty"`     // for the coach, never spoken
}

// Outer is the set of a block in which other sets stand.
type Outer struct {
	Set   int    `json:"set"`
	Sets  int    `json:"sets"`
	Block string `json:"block,omitempty"`
}

// Written is a speed as the plan gives it, before level, step and units.
type Written struct {
	Speed []float64 `json:"speed"`
	Unit  string    `json:"unit"`
}

// A Cue of a Document. Segment is -1 in opening and closing.
type Cue struct {
	Start   int64     `json:"start"`
	End     int64     `json:"end"`
	Lane    cues.Lane `json:"lane"`
	Kind    kind.Kind `json:"kind"`
	Text    string    `json:"text"`
	Clips   []string  `json:"clips"`
	Segment int       `json:"segment"`
	Line    int       `json:"line"` // 0 where it stands in the common file
}

// A Problem of a Document. At is a frame of the track, -1 for what has no time.
type Problem struct {
	Severity problem.Severity `json:"severity"`
	Kind     problem.Kind     `json:"kind"`
	At       int64            `json:"at"`
	File     string           `json:"file"`
	Line     int              `json:"line"`   // 0 for the file as a whole
	Column   int              `json:"column"` // in characters, 0 for the file as a whole
	Message  string           `json:"message"`
}

// Describe makes the Document of a list.
func Describe(l *cues.List, problems []problem.Problem) Document {
	c := l.Class
	rate := audio.Rate(c.Plan.Track.Rate.Value)
	start, length := c.TrackSpan()
	d := Document{Format: Format, Class: c.Plan.Class.Value, Level: string(c.Options.Level), Rate: int(rate), Frames: rate.Frame(length),
		Segments: []Segment{}, Cues: []Cue{}, Problems: Problems(problems, c)}
	written, roles := c.Plan.Units.Value, role.Of(c)
	for i := range c.Segments {
		s := &c.Segments[i]
		speed, own, feel := speeds(c.Units, s.Target.Speed), speeds(written, s.Target.PlanSpeed), []float64{}
		if f := s.Target.RPE; s.Target.ByFeel {
			speed, own = []float64{}, []float64{}
			feel = ends(float64(f.Low)/10, float64(f.High)/10)
		}
		if s.Target.Floor {
			speed, own = []float64{}, []float64{}
		}
		d.Segments = append(d.Segments, Segment{
			Start: rate.Frame(start + s.Start), End: rate.Frame(start + s.End()),
			Part: s.Part, Effort: s.Effort, Set: s.Set, Sets: s.Sets,
			Block: s.BlockName, Outer: outer(s), Step: s.RampStep, Steps: s.RampSteps, Distance: float64(s.Written.Distance) / 1000, Note: s.Note, Role: roles[i].Role,
			Speed: speed, Unit: string(c.Units), Written: Written{own, string(written)}, Feel: feel, Incline: float64(s.Target.Incline) / 10, Cadence: float64(s.Target.Cadence) / 10,
		})
	}
	for i := range l.Cues {
		q := &l.Cues[i]
		clips := q.Clips
		if clips == nil {
			clips = []string{}
		}
		line := q.Pos.Line
		if q.Pos.In != "" {
			line = 0 // it stands in what plans have in common
		}
		d.Cues = append(d.Cues, Cue{Start: rate.Frame(start + q.Start), End: rate.Frame(start + q.End()),
			Lane: q.Lane, Kind: q.Kind, Text: q.Text, Clips: clips, Segment: q.Segment, Line: line})
	}
	return d
}

func outer(s *class.Segment) *Outer {
	if s.Outer.Sets == 0 {
		return nil
	}
	return &Outer{s.Outer.Set, s.Outer.Sets, s.Outer.BlockName}
}

// ends are the two ends of a range, or its one number.
func ends(low, high float64) []float64 {
	if low == high {
		return []float64{low}
	}
	return []float64{low, high}
}

func speeds(u units.Unit, r units.Range) []float64 { return ends(number(u, r.Low), number(u, r.High)) }

func number(u units.Unit, s units.Speed) float64 {
	if u.Pace() {
		return float64(s)
	}
	return float64(s) / 10
}

// Problems makes the JSON form of problems; c is nil where the plan could not
// be unfolded, and no problem has a time then.
func Problems(problems []problem.Problem, c *class.Class) []Problem {
	out := []Problem{}
	for _, p := range problems {
		q := Problem{Severity: p.Severity, Kind: p.Kind, At: -1, File: p.Path(), Line: p.Line, Column: p.Column, Message: p.Message}
		if p.Timed && c != nil {
			start, _ := c.TrackSpan()
			q.At = audio.Rate(c.Plan.Track.Rate.Value).Frame(start + p.At)
		}
		out = append(out, q)
	}
	return out
}

// JSON writes the Document of a list.
func JSON(w io.Writer, l *cues.List, problems []problem.Problem) error {
	return Encode(w, Describe(l, problems))
}

// Encode writes v as indented JSON, with text as it is spoken rather than
// escaped for web pages.
func Encode(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(v)
}
