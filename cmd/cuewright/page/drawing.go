package page

import (
	"fmt"
	"strings"
	"time"

	"cuewright/cues"
	"cuewright/cues/export"
	"cuewright/plan/problem"
	"cuewright/plan/units"
)

// A Drawing is what the page's script draws and follows. Times are seconds of
// the track.
type Drawing struct {
	Length float64 `json:"length"` // of the track
	Zero   float64 `json:"zero"`   // where the first segment starts
	End    float64 `json:"end"`    // where the last one ends
	Total  string  `json:"total"`  // the length of the class in words of a clock
	Unit   string  `json:"unit"`
	// Parts and Sets are named stretches over the segments.
	Parts     []Named `json:"parts"`
	Sets      []Named `json:"sets"`
	Stretches []Stage `json:"stretches"`
	Sounds    []Sound `json:"sounds"`
	Flags     []Flag  `json:"flags"`
}

// Named is a stretch of time with a name.
type Named struct {
	From float64 `json:"from"`
	To   float64 `json:"to"`
	Name string  `json:"name"`
	// Short stands in where there is no room for the name.
	Short string `json:"short"`
}

// A Stage is the ground of the opening, a segment or the closing.
type Stage struct {
	Named
	Part   string `json:"part"`
	Set    int    `json:"set"`
	Sets   int    `json:"sets"`
	Clock  string `json:"clock"` // class time of its start, whole seconds
	Ground bool   `json:"ground"`
	// Slow and Fast are the ends of its speed in metres a minute, whatever the
	// plan's unit, so that faster is higher; both are 0 where it is run by feel.
	Slow    float64  `json:"slow"`
	Fast    float64  `json:"fast"`
	Speed   string   `json:"speed"`   // as the plan counts it, without the unit
	Incline float64  `json:"incline"` // percent
	Graded  bool     `json:"graded"`
	Cadence float64  `json:"cadence"`
	Click   bool     `json:"click"` // whether its cadence sounds
	Targets Targets  `json:"targets"`
	Levels  []string `json:"levels"` // "lower 8", where the levels differ from the speed
}

// A Sound is one cue.
type Sound struct {
	From float64   `json:"from"`
	To   float64   `json:"to"`
	Lane cues.Lane `json:"lane"`
	Kind cues.Kind `json:"kind"`
	Text string    `json:"text"`
	Long bool      `json:"long,omitempty"` // the mark on a change
}

// A Flag is the place of a problem; From is negative where it has none.
type Flag struct {
	Number int          `json:"number"`
	Kind   problem.Kind `json:"kind"`
	Error  bool         `json:"error"`
	From   float64      `json:"from"`
	To     float64      `json:"to"`
}

// describe makes the drawing of a list, without its flags.
func describe(l *cues.List, d *export.Document) Drawing {
	c := l.Class
	u := c.Units
	start, length := c.TrackSpan()
	g := Drawing{
		Length: length.Seconds(), Zero: start.Seconds(), End: (start + c.Length).Seconds(),
		Total: units.FormatLength(c.Length), Unit: string(u),
		Parts: []Named{}, Sets: []Named{}, Sounds: []Sound{}, Flags: []Flag{},
	}
	g.Stretches = append(g.Stretches, Stage{Named: Named{To: g.Zero, Name: "opening"}})
	for i := range c.Segments {
		s := &c.Segments[i]
		at := Named{From: seconds(d.Segments[i].Start, d), To: seconds(d.Segments[i].End, d), Name: s.Effort}
		if at.Name == "" {
			at.Name = string(s.Part)
		}
		stage := Stage{
			Named: at, Part: string(s.Part), Set: s.Set, Sets: s.Sets,
			Clock: units.FormatLength(s.Start.Truncate(time.Second)), Ground: true,
			Incline: d.Segments[i].Incline, Graded: s.Target.HasIncline, Cadence: d.Segments[i].Cadence,
			Click: s.Target.Cadence > 0 && c.Plan.Click.When.Value != "never",
		}
		stage.Speed = speedText(c, s)
		if !s.Target.ByFeel {
			stage.Slow, stage.Fast = units.RateOf(u, s.Target.Speed.Low).MetresPerMinute(), units.RateOf(u, s.Target.Speed.High).MetresPerMinute()
		}
		g.Stretches = append(g.Stretches, stage)
		before := &c.Segments[max(0, i-1)]
		short, _, _ := strings.Cut(string(s.Part), "-")
		g.Parts = extend(g.Parts, Named{at.From, at.To, string(s.Part), short}, i > 0 && before.Part == s.Part)
		if s.Sets > 1 && !s.Between {
			set := Named{at.From, at.To, fmt.Sprintf("set %d of %d", s.Set, s.Sets), fmt.Sprint(s.Set)}
			g.Sets = extend(g.Sets, set, before.Block == s.Block && !s.FirstOfSet)
		}
	}
	g.Stretches = append(g.Stretches, Stage{Named: Named{From: g.End, To: g.Length, Name: "closing"}, Clock: units.FormatLength(c.Length)})
	for i := range l.Cues {
		q := &d.Cues[i]
		g.Sounds = append(g.Sounds, Sound{seconds(q.Start, d), seconds(q.End, d), q.Lane, q.Kind, q.Text, l.Cues[i].Long})
	}
	return g
}

// extend lets the last of the named stretches run on, or begins a new one.
func extend(list []Named, next Named, same bool) []Named {
	if same && len(list) > 0 {
		list[len(list)-1].To = next.To
		return list
	}
	return append(list, next)
}
