package page

import (
	"fmt"
	"strings"

	"cuewright/cues"
	"cuewright/cues/kind"
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
	Parts []Named `json:"parts"`
	Sets  []Named `json:"sets"`
	// Stretches are the opening, every segment and the closing, in time.
	Stretches []Stretch `json:"stretches"`
	Sounds    []Sound   `json:"sounds"`
	Flags     []Flag    `json:"flags"`
	// Ranks tell by kind which calls get the room first where there is little.
	Ranks map[kind.Kind]int `json:"ranks"`
}

// Named is a stretch of time with a name.
type Named struct {
	From float64 `json:"from"`
	To   float64 `json:"to"`
	Name string  `json:"name"`
	// Short stands in where there is no room for the name.
	Short string `json:"short"`
}

// A Sound is one cue.
type Sound struct {
	From float64   `json:"from"`
	To   float64   `json:"to"`
	Lane cues.Lane `json:"lane"`
	Kind kind.Kind `json:"kind"`
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

// draw makes the drawing of a list, without its stretches and flags.
func draw(l *cues.List) Drawing {
	c := l.Class
	zero, length := c.TrackSpan()
	g := Drawing{
		Length: length.Seconds(), Zero: zero.Seconds(), End: (zero + c.Length).Seconds(),
		Total: units.FormatLength(c.Length), Unit: string(c.Units),
		Parts: []Named{}, Sets: []Named{}, Sounds: []Sound{}, Flags: []Flag{}, Ranks: map[kind.Kind]int{},
	}
	for _, row := range kind.Table {
		g.Ranks[row.Kind] = row.Rank
	}
	for i := range c.Segments {
		s, before := &c.Segments[i], &c.Segments[max(0, i-1)]
		from, to := (zero + s.Start).Seconds(), (zero + s.End()).Seconds()
		short, _, _ := strings.Cut(string(s.Part), "-")
		g.Parts = extend(g.Parts, Named{from, to, string(s.Part), short}, i > 0 && before.Part == s.Part)
		if s.Sets > 1 && !s.Between {
			set := Named{from, to, nearest(s), fmt.Sprint(s.Set)}
			g.Sets = extend(g.Sets, set, before.Block == s.Block && !s.FirstOfSet)
		}
	}
	for i := range l.Cues {
		q := &l.Cues[i]
		g.Sounds = append(g.Sounds, Sound{(zero + q.Start).Seconds(), (zero + q.End()).Seconds(), q.Lane, q.Kind, q.Text, q.Long})
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
