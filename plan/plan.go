// Package plan is what the coach wrote: a class as YAML, with the line and column of
// every value.
package plan

import (
	"fmt"
	"io"
	"os"
	"time"

	"gopkg.in/yaml.v3"

	"cuewright/plan/problem"
	"cuewright/plan/strict"
	"cuewright/plan/units"
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

	Class    strict.Text         `key:"class,required" doc:"the name of the class"`
	Coach    strict.Text         `key:"coach" doc:"who gives it, for the titles"`
	Length   strict.Duration     `key:"length" doc:"what the timetable promises, without opening and closing; a mismatch is an error"`
	Units    Word[unitWords]     `key:"units,required" doc:"the unit of every speed: km/h, mph, min/km or min/mile"`
	Audience Word[audienceWords] `key:"audience" doc:"who the class is for"`
	Voice    strict.Text         `key:"voice" doc:"the folder of recordings, relative to the plan; the built-in demo voice without it"`
	Efforts  strict.Map[Effort]  `key:"efforts" doc:"targets by name"`
	WarmUp   []Item              `key:"warm-up" doc:"segments and sets before the main part"`
	Main     []Item              `key:"main,required,filled" doc:"segments and sets of the main part"`
	CoolDown []Item              `key:"cool-down" doc:"segments and sets after the main part"`
	Calls    Calls               `key:"calls" doc:"when calls are made"`
	Click    Click               `key:"click" doc:"the cadence click"`
	Bed      Bed                 `key:"bed" doc:"music under the class"`
	Track    Track               `key:"track" doc:"the form of the track"`
	Advice   Advice              `key:"advice" doc:"the limits of the advice on the class"`
}

// Targets are the numbers a runner dials in and runs to.
type Targets struct {
	Speed   Speeds          `key:"speed" doc:"one speed or [slow, fast], in the plan's units"`
	RPE     Ratings         `key:"feel" doc:"perceived exertion from 0 to 10 in halves (Borg's CR10 scale), one number or [easy, hard], in place of a speed"`
	Incline Incline         `key:"incline" doc:"percent grade"`
	Cadence Cadence         `key:"cadence" doc:"steps a minute, both feet counted; the click sounds at it"`
	Gait    Word[gaitWords] `key:"gait" doc:"walk or run, where the speed leaves it open"`
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
			r.Into(n, i.Block)
			return
		}
	}
	// The node may be no mapping at all: reading it as a segment says so.
	s := new(Segment)
	r.Into(n, s)
	if s.Pos.Given() {
		i.Segment = s
	}
}

// Schema describes both forms.
func (i *Item) Schema() map[string]any {
	return map[string]any{"oneOf": []any{schemaOf[Segment](), schemaOf[Block]()}}
}

// A Segment is one segment as written.
type Segment struct {
	Pos    problem.Pos
	Effort strict.Text     `key:"effort" doc:"the name of its effort"`
	For    Span[forBounds] `key:"for,required" doc:"how long it lasts, 3s to 12h"`
	Targets
	Say []Say `key:"say" doc:"sentences at fixed times"`
}

// Hint explains keys of a block inside a block.
func (*Segment) Hint(key string) string {
	if key == "sets" || key == "segments" || key == "between" {
		return "sets do not nest, and stand beside segments, not in them"
	}
	return ""
}

// A Block is a run of segments done several times.
type Block struct {
	Pos      problem.Pos
	Sets     Whole[setsBounds] `key:"sets,required" doc:"how many times the segments are run"`
	Segments []Segment         `key:"segments,required,filled" doc:"the segments of one set"`
	Between  []Segment         `key:"between" doc:"segments after every set but the last"`
}

// A Say is a sentence at a fixed time of a segment.
type Say struct {
	Pos  problem.Pos
	At   strict.Offset `key:"at,required" doc:"from the segment's start, or from its end when negative"`
	Text strict.Text   `key:"text,required" doc:"what is said"`
	Set  SetChoice     `key:"set" doc:"in which set only: its number, or last"`
}

// SetChoice names one set of a block.
type SetChoice struct {
	Number int // from 1; 0 where Last or not given
	Last   bool
	Pos    problem.Pos
}

// Read takes a number from 1 or the word last.
func (s *SetChoice) Read(n *yaml.Node, r *strict.Reader) {
	if n.Kind == yaml.ScalarNode && n.Value == "last" {
		*s = SetChoice{Last: true, Pos: strict.Place(n)}
		return
	}
	var w Whole[setsBounds]
	w.Read(n, r)
	*s = SetChoice{Number: w.Value, Pos: w.Pos}
}

// Schema describes a SetChoice.
func (s *SetChoice) Schema() map[string]any {
	return map[string]any{"oneOf": []any{(&Whole[setsBounds]{}).Schema(), map[string]any{"const": "last"}}}
}

// Calls says when calls are made.
type Calls struct {
	Pos       problem.Pos
	Opening   Span[openingBounds] `key:"opening" doc:"the time before the first segment, for welcome, safety and the first count"`
	Closing   Span[closingBounds] `key:"closing" doc:"the time after the last segment"`
	Ahead     Span[aheadBounds]   `key:"ahead" doc:"the warning before a change starts at most this long before it"`
	Left      []Span[leftBounds]  `key:"left" doc:"how long before a segment's end the time left is called"`
	Count     Count               `key:"count" doc:"the count to a change"`
	Reminders Span[silenceBounds] `key:"reminders" doc:"a reminder is said where nothing was for this long; 0s for none"`
	Quiet     Span[quietBounds]   `key:"quiet" doc:"a longer silence than this is a gap"`
}

// Count says how a change is counted.
type Count struct {
	From Whole[countBounds] `key:"from" doc:"the first number counted, a second each"`
	With Word[countWords]   `key:"with" doc:"beeps, words or both"`
}

// Click says how the cadence click sounds.
type Click struct {
	When  Word[clickWords]   `key:"when" doc:"cadence: in every segment that has one; never"`
	Feet  Word[feetWords]    `key:"feet" doc:"alternate: the other foot's click is lower; alike"`
	Level Level[clickBounds] `key:"level" doc:"loudness units relative to speech, loudest 400 ms against loudest 400 ms"`
}

// Bed is music under the class.
type Bed struct {
	Pos   problem.Pos
	File  strict.Text      `key:"file,required" doc:"a file of music, relative to the plan"`
	Level Level[bedBounds] `key:"level" doc:"loudness units relative to speech, integrated, while nobody speaks"`
	Duck  Level[bedBounds] `key:"duck" doc:"decibels by which it goes down under speech and the count"`
}

// Track says how the track is made.
type Track struct {
	Rate     Pick[rates]           `key:"rate" doc:"frames per second"`
	Bits     Pick[bitDepths]       `key:"bits" doc:"bits per sample"`
	Channels Pick[channelCounts]   `key:"channels" doc:"1, or 2 with the same samples in both"`
	Loudness Level[loudnessBounds] `key:"loudness" doc:"LUFS of the spoken stretches, as heard from two speakers"`
	Peak     Level[peakBounds]     `key:"peak" doc:"the ceiling in dBTP"`
	Presence Level[presenceBounds] `key:"presence" doc:"dB by which the upper range of the voice is lifted, for noisy rooms"`
	Silence  Word[silenceWords]    `key:"silence" doc:"zero, or noise to keep wireless speakers awake"`
}

// defaults are the values of a plan that gives none.
func defaults() *Plan {
	p := &Plan{}
	span := func(d time.Duration) strict.Duration { return strict.Duration{Value: d} }
	p.Calls.Opening.Duration = span(20 * time.Second)
	p.Calls.Closing.Duration = span(8 * time.Second)
	p.Calls.Ahead.Duration = span(20 * time.Second)
	for _, left := range []time.Duration{60, 30, 10} {
		p.Calls.Left = append(p.Calls.Left, Span[leftBounds]{span(left * time.Second)})
	}
	p.Calls.Count.From.Value = 5
	p.Calls.Count.With.Value = "beeps"
	p.Calls.Reminders.Duration = span(25 * time.Second)
	p.Calls.Quiet.Duration = span(45 * time.Second)
	p.Click.When.Value = "cadence"
	p.Click.Feet.Value = "alternate"
	p.Click.Level.Value = -180
	p.Bed.Level.Value = -60
	p.Bed.Duck.Value = -120
	p.Track.Rate.Value = 48000
	p.Track.Bits.Value = 16
	p.Track.Channels.Value = 1
	p.Track.Loudness.Value = -160
	p.Track.Peak.Value = -10
	p.Track.Silence.Value = "zero"
	p.Advice = defaultAdvice()
	return p
}

// Load reads the plan file at path. The error is for a file that cannot be
// read at all; everything wrong with its content is among the problems.
func Load(path string) (*Plan, []problem.Problem, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, nil, err
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, strict.MaxSize+1))
	if err != nil {
		return nil, nil, err
	}
	p, problems := Read(path, data)
	return p, problems, nil
}

// Read reads a plan. file is its name in problems, which come sorted by place
// and are all errors; a plan with any of them must not be unfolded.
func Read(file string, data []byte) (*Plan, []problem.Problem) {
	p := defaults()
	p.File = file
	r := strict.Reader{File: file, Kind: problem.Plan}
	strict.Decode(data, p, &r)
	p.validate(&r)
	return p, r.Problems()
}

// Problem returns a problem of this plan.
func (p *Plan) Problem(s problem.Severity, kind problem.Kind, pos problem.Pos, format string, args ...any) problem.Problem {
	return problem.Problem{Severity: s, Kind: kind, File: p.File, Pos: pos, Message: fmt.Sprintf(format, args...)}
}

// Unit is the unit the plan's speeds are written in.
func (p *Plan) Unit() units.Unit { return units.Unit(p.Units.Value) }
