package edit

import (
	"strings"
	"testing"
	"time"

	"cuewright/audio/words"
	"cuewright/cues"
	"cuewright/cues/export"
	"cuewright/cues/phrase"
	"cuewright/plan"
	"cuewright/plan/class"
	"cuewright/plan/units"
)

// slow is a voice that takes a second for every word.
type slow struct{}

func (slow) Measure(text string) (cues.Spoken, []string) {
	words := words.Of(text)
	s := cues.Spoken{Words: words, Length: time.Duration(len(words)) * time.Second}
	for i := range words {
		at := time.Duration(i) * time.Second
		s.When = append(s.When, cues.Span{From: at, To: at})
	}
	return s, nil
}

func (v slow) Select(text string) cues.Takes {
	s, _ := v.Measure(text)
	return cues.Takes{Length: s.Length, Clips: []string{text}}
}

func own(t testing.TB) *cues.List {
	p, problems := plan.Read("x.yaml", []byte("class: X\nunits: km/h\nmain: [{speed: 8, for: 60s}]\n"))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	c, _ := class.Unfold(p)
	return cues.Schedule(c, phrase.English(), slow{})
}

// TestHabits reads one row as spreadsheets of several countries leave it.
func TestHabits(t *testing.T) {
	for name, text := range map[string]string{
		"plain":          "start,end,clock,lane,kind,text\n30.25,,,speech,reminder,run tall\n",
		"semicolons":     "start;end;clock;lane;kind;text\n30,25;;;speech;reminder;run tall\n",
		"tabs":           "start\tend\tclock\tlane\tkind\ttext\n30.25\t\t\tspeech\treminder\trun tall\n",
		"mark and CRLF":  "\ufeffstart,end,clock,lane,kind,text\r\n30.25,,,speech,reminder,run tall\r\n\r\n",
		"all in quotes":  "\"start\",\"end\",\"clock\",\"lane\",\"kind\",\"text\"\n\"30.25\",\"\",\"\",\"speech\",\"reminder\",\"run tall\"\n",
		"other order":    "text,kind,lane,start\nrun tall,reminder,speech,30.25\n",
		"empty rows":     "start,end,clock,lane,kind,text\n,,,,,\n30.250,,,speech,reminder, run tall \n,,,,,\n",
		"more decimals":  "start,end,clock,lane,kind,text\n30.2496,,,speech,reminder,run tall\n",
		"capital titles": "Start,End,Clock,Lane,Kind,Text\n30.25,,,speech,reminder,run tall\n",
	} {
		l, problems := Read("list.csv", []byte(text), own(t), slow{})
		if len(problems) > 0 || len(l.Cues) != 1 {
			t.Errorf("%s: %d cues, %v", name, len(l.Cues), problems)
			continue
		}
		c := l.Cues[0]
		if c.Start != 10*time.Second+250*time.Millisecond || c.Text != "run tall" || c.Length != 2*time.Second || c.Segment != 0 || c.File != "list.csv" {
			t.Errorf("%s: %+v", name, c)
		}
	}
}

func TestBroken(t *testing.T) {
	for text, want := range map[string]string{
		"": "list.csv:1:1: error: the list has no first line",
		"RIFF$\x00\x00\x00WAVEfmt \x10\x00\x00\x00\x01\x00": "list.csv:1:1: error: the list has no first line",
		"\xff\xfes\x00t\x00":                             "list.csv:1:1: error: the list is UTF-16 text: save it as UTF-8",
		"s\x00t\x00a\x00r\x00t\x00,\x00e\x00n\x00":       "list.csv:1:1: error: the list is UTF-16 text",
		"\x00s\x00t\x00a\x00r\x00t\x00,\x00e\x00n":       "list.csv:1:1: error: the list is UTF-16 text",
		"start,lane,text\n":                              `list.csv:1:1: error: there is no column "kind"`,
		"start,lane,kind,text\n-1,speech,now,x\n":        `list.csv:2:1: error: "-1" is no time`,
		"start,lane,kind,text\n1e3,speech,now,x\n":       `list.csv:2:1: error: "1e3" is no time`,
		"start,lane,kind,text\n999999999,speech,now,x\n": `list.csv:2:1: error: "999999999" is no time`,
		"start,lane,kind,text\n1,click,now,x\n":          `list.csv:2:3: error: there is no lane "click"`,
		"start,lane,kind,text\n1,speech,count,five\n":    `list.csv:2:10: error: the kind count belongs in the lane count`,
		"start,lane,kind,text\n1,speech\n":               `list.csv:2:1: error: there is no kind ""`,
	} {
		l, problems := Read("list.csv", []byte(text), own(t), slow{})
		if whole := strings.HasPrefix(text, "start,lane,kind,text"); whole != (l != nil) {
			t.Errorf("%q: a list: %v", text, l != nil)
		}
		if len(problems) == 0 || !strings.HasPrefix(problems[0].String(), want) {
			t.Errorf("%q: %v, want %s", text, problems, want)
		}
	}
}

// TestClock: the clock is not read, but editing it in place of the start is warned of.
func TestClock(t *testing.T) {
	l := own(t)
	c := l.Cues[len(l.Cues)-1] // after the class's minute
	from, _ := export.Milliseconds(l, &c)
	clock := units.FormatClock(c.Start)
	row := func(clock string) string {
		return "start,clock,lane,kind,text\n" + export.Seconds(from) + "," + clock + "," + string(c.Lane) + "," + string(c.Kind) + ",\"" + c.Text + "\"\n"
	}
	for cell, warned := range map[string]bool{
		clock:              false,
		"":                 false,
		"0:" + clock:       false, // as a spreadsheet may write it
		"61" + clock[2:]:   false, // the hours left out or put in
		"03" + clock[2:]:   true,
		"-" + clock:        true,
		clock[:3] + "59.9": true,
	} {
		_, problems := Read("list.csv", []byte(row(cell)), l, slow{})
		if !warned && len(problems) == 0 {
			continue
		}
		if !warned || len(problems) != 1 || !strings.Contains(problems[0].String(), ": warning: the clock is for the eye only") {
			t.Errorf("%s edited to %q: %v", clock, cell, problems)
		}
	}
}

func FuzzRead(f *testing.F) {
	l := own(f)
	f.Add([]byte("start,end,clock,lane,kind,text\n30.25,,,speech,reminder,run tall\n15,,,count,count,five\n"))
	f.Add([]byte("start;lane;kind;text\n\"1,5\";speech;left;\"ten \"\"seconds\"\" left\"\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		got, _ := Read("list.csv", data, l, slow{})
		if got == nil {
			return
		}
		for _, c := range got.Cues {
			if c.Text == "" || c.Lane != cues.Speech && c.Lane != cues.CountLane {
				t.Errorf("%+v", c)
			}
		}
	})
}
