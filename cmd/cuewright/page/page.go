// Package page writes a class as one HTML file: to see it drawn over time, to
// play its track, to project it in a studio, and to print it. The file needs no
// network and nothing beside it but the track.
package page

import (
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"html/template"
	"io"
	"regexp"
	"slices"

	"cuewright/cues"
	"cuewright/cues/kind"
	"cuewright/plan/class/effort"
	"cuewright/plan/class/show"
	"cuewright/plan/problem"
)

// A Page is what the file tells. [New] fills it from a list; fields that say so
// may be set afterwards.
type Page struct {
	Title    string // of the list, which tells a draft
	Coach    string
	Language string // of the calls
	Summary  string // "25:00 in 15 segments, the track 25:28 with opening and closing"
	Totals   string // the length of each part
	// Effort is what the class as a whole asks for, an estimate, one thing a line.
	Effort   []string
	Problems []Problem
	Cautions []string
	// Levels are the names of those that AddLevel told of.
	Levels []string
	// Tracks are the file names, relative to the page, under which its track is
	// looked for, in that order; to be set.
	Tracks []string
	// Endings are those of the files that may be chosen as its track; to be set.
	Endings []string
	Drawing Drawing
}

// A Call is a sentence, or the whole count of a change.
type Call struct {
	Clock  string
	At     float64 // seconds of the track
	Length string  // nothing for a count
	Kind   kind.Kind
	Text   string
	// First, More and Last are the text of a count of three seconds and more, which a
	// close print cuts to its ends.
	First, More, Last string
}

// A Problem is one line of the check, with its place on the page.
type Problem struct {
	problem.Problem
	Number int
	Line   string // as check prints it
	Clock  string // nothing where it has no time
	At     float64
	Place  int // the index of its stretch, -1 for the class as a whole
}

//go:embed page.html
var pageHTML string

//go:embed page.css
var pageCSS string

//go:embed page.js
var pageJS string

//go:embed drawing.js
var drawingJS string

//go:embed labels.js
var labelsJS string

//go:embed view.js
var viewJS string

//go:embed screen.js
var screenJS string

//go:embed play.js
var playJS string

// script is all of the page's code, each file after what it uses.
var script = "\n" + pageJS + drawingJS + labelsJS + viewJS + screenJS + playJS

var document = template.Must(template.New("page").Funcs(template.FuncMap{"units": keepUnits}).Parse(pageHTML))

var beforeUnit = regexp.MustCompile(`(\d) `)

// keepUnits keeps each number and its unit in one line.
func keepUnits(text string) string { return beforeUnit.ReplaceAllString(text, "$1\u00a0") }

// New makes the page of a list, whose problems are those that check prints. Estimates
// tell kilocalories where the mass of a body is not zero.
func New(l *cues.List, problems []problem.Problem, mass effort.Mass) *Page {
	c := l.Class
	p := &Page{
		Title: l.Title, Coach: c.Plan.Coach.Value, Language: l.Book.Language.Value,
		Summary: show.Summary(c), Totals: show.Totals(c), Effort: show.EffortLines(c, mass),
		Cautions: c.Cautions(),
	}
	p.Drawing = draw(l)
	p.Drawing.Stretches = stretches(c, mass)
	p.addCalls(l)
	p.addProblems(l, problems)
	return p
}

// Long reports whether the class would fill more than two sheets in the print of a
// common one: it is printed closer then.
func (p *Page) Long() bool {
	calls := 0
	for _, s := range p.Drawing.Stretches {
		calls += len(s.Calls)
	}
	return len(p.Drawing.Stretches) > 20 || calls+len(p.Problems) > 150
}

// HasEffort reports whether any stretch tells what it asks for.
func (p *Page) HasEffort() bool {
	return slices.ContainsFunc(p.Drawing.Stretches, func(s Stretch) bool { return s.Effort != "" })
}

// Write writes the file. It fails only where w does.
func (p *Page) Write(w io.Writer) error {
	style := "\n" + pageCSS
	return document.Execute(w, struct {
		*Page
		Style      template.CSS
		Script     template.JS
		StyleHash  string
		ScriptHash string
	}{p, template.CSS(style), template.JS(script), hash(style), hash(script)})
}

// hash is a source of a Content Security Policy (W3C CSP Level 3, section
// "Framework"): no other style or script than this one is used by a browser,
// whatever a plan holds.
func hash(text string) string {
	sum := sha256.Sum256([]byte(text))
	return "'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
}
