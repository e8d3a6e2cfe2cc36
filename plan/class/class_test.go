package class

import (
	"cuewright/plan"
	"cuewright/plan/problem"
	"cuewright/plan/units"
	"fmt"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// unfold reads a plan that must be good.
func unfold(t *testing.T, file string) *Class {
	t.Helper()
	p, problems, err := plan.Load(file)
	if err != nil || len(problems) > 0 {
		t.Fatal(err, problems)
	}
	c, problems := Unfold(p)
	if problem.HasErrors(problems) {
		t.Fatal(problems)
	}
	return c
}

// TestProtocols lays out published protocols; the sources stand in the plans.
// The expected starts are worked out here by hand from the protocol, not taken
// from the program.
func TestProtocols(t *testing.T) {
	const s, m = time.Second, time.Minute
	type segment struct {
		start, length time.Duration
		speed         units.Range
		incline       int64
	}
	// every repeats segments of the given lengths n times from start on.
	every := func(start time.Duration, n int, segments ...segment) []segment {
		var out []segment
		for range n {
			for _, x := range segments {
				x.start = start
				start += x.length
				out = append(out, x)
			}
		}
		return out
	}
	rest, hard := units.Range{Low: 60, High: 70}, units.Range{Low: 90, High: 120}
	easy, fast := units.Range{Low: 70, High: 80}, units.Range{Low: 120, High: 140}
	tests := []struct {
		file   string
		length time.Duration
		want   []segment
	}{
		{"helgerud-4x4", 40 * m, slices.Concat( // 10 + 4x4 + 3x3 + 5: 40 min in all
			[]segment{{0, 10 * m, rest, 50}},
			every(10*m, 3, segment{length: 4 * m, speed: hard, incline: 50}, segment{length: 3 * m, speed: rest, incline: 50}),
			[]segment{{31 * m, 4 * m, hard, 50}, {35 * m, 5 * m, rest, 50}})},
		{"helgerud-15-15", 15*m + 47*30*s, slices.Concat(
			[]segment{{0, 10 * m, easy, 50}},
			every(10*m, 47, segment{length: 15 * s, speed: fast, incline: 50}, segment{length: 15 * s, speed: easy, incline: 50}),
			[]segment{{33*m + 30*s, 5 * m, easy, 50}})},
		{"tabata", 19 * m, slices.Concat(
			[]segment{{0, 10 * m, easy, 10}},
			every(10*m, 8, segment{length: 20 * s, speed: units.Range{Low: 130, High: 140}, incline: 10}, segment{length: 10 * s, speed: easy, incline: 10}),
			[]segment{{14 * m, 5 * m, easy, 10}})},
		{"bruce", 21 * m, []segment{
			{0, 3 * m, units.Range{Low: 17, High: 17}, 100}, {3 * m, 3 * m, units.Range{Low: 25, High: 25}, 120}, {6 * m, 3 * m, units.Range{Low: 34, High: 34}, 140},
			{9 * m, 3 * m, units.Range{Low: 42, High: 42}, 160}, {12 * m, 3 * m, units.Range{Low: 50, High: 50}, 180}, {15 * m, 3 * m, units.Range{Low: 55, High: 55}, 200},
			{18 * m, 3 * m, units.Range{Low: 60, High: 60}, 220}}},
		{"five-sets", 23 * m, slices.Concat(
			[]segment{{0, 4 * m, units.Range{Low: 50, High: 80}, 10}},
			every(4*m, 4, segment{length: m, speed: units.Range{Low: 80, High: 110}, incline: 40}, segment{length: m, speed: units.Range{Low: 90, High: 120}, incline: 20},
				segment{length: 2 * m, speed: units.Range{Low: 50, High: 80}, incline: 10}),
			[]segment{{20 * m, m, units.Range{Low: 80, High: 110}, 40}, {21 * m, m, units.Range{Low: 90, High: 120}, 20}, {22 * m, m, units.Range{Low: 50, High: 80}, 10}})},
	}
	for _, test := range tests {
		t.Run(test.file, func(t *testing.T) {
			c := unfold(t, "../../testdata/plans/good/"+test.file+".yaml")
			var got []segment
			for _, x := range c.Segments {
				got = append(got, segment{x.Start, x.Length, x.Target.Speed, x.Target.Incline})
			}
			if c.Length != test.length || !slices.Equal(got, test.want) {
				t.Errorf("lasts %v, want %v; segments\n%v, want\n%v", c.Length, test.length, got, test.want)
			}
		})
	}
}

// TestEveryKey reads every key to its value and unfolds sets, between and says.
func TestEveryKey(t *testing.T) {
	c := unfold(t, "../../testdata/plans/good/every-key.yaml")
	p := c.Plan
	got := fmt.Sprint(p.Class.Value, p.Coach.Value, p.Unit(), p.Audience.Value, p.Voice.Value,
		p.Calls.Opening.Value, p.Calls.Closing.Value, p.Calls.Ahead.Value, p.Calls.Left[0].Value, p.Calls.Left[2].Value,
		p.Calls.Count.From.Value, p.Calls.Count.With.Value, p.Calls.Reminders.Value, p.Calls.Quiet.Value,
		p.Click.When.Value, p.Click.Feet.Value, p.Click.Level.Value,
		p.Track.Rate.Value, p.Track.Bits.Value, p.Track.Channels.Value, p.Track.Loudness.Value, p.Track.Peak.Value, p.Track.Presence.Value, p.Track.Silence.Value,
		p.Advice.WarmUp.Value, p.Advice.CoolDown.Value, p.Advice.SpeedChange, p.Advice.InclineChange.Value,
		p.Advice.TopSpeed, p.Advice.TopIncline.Value, p.Advice.LowIncline.Value, p.Advice.Hard.Value, p.Advice.HardShare.Value)
	want := "Every KeyGull Lanemin/milebeginnersvoices/anna30s 12s 15s 2m0s 20s 3both0s 2m0scadencealike-205 44100 24 2 -180 -20 60noise4m0s 2m30s 5.5 mph 35 22 km/h 200 -30 75 35"
	if got != want {
		t.Errorf("read as\n%s, want\n%s", got, want)
	}
	// The second trot overrides its effort's speed; it starts after 5:00, a set of
	// 1:15.5 + 1:00 and 1:14.5 between.
	s := c.Segments[4]
	if s.Start != 8*time.Minute+30*time.Second || s.Set != 2 || !s.FirstOfSet || s.Name() != "trot, twos 2 of 2" ||
		s.Target != (Target{Speed: units.Range{Low: 675, High: 605}, Incline: 10, HasIncline: true, Cadence: 1645, Gait: "run", PlanSpeed: units.Range{Low: 675, High: 605}}) {
		t.Errorf("segment 4 is %+v", s)
	}
	if len(s.FixedCues) != 1 || s.FixedCues[0].At != 63*time.Second+500*time.Millisecond || s.FixedCues[0].Text != "nearly there" {
		t.Errorf("says of set 2: %v", s.FixedCues)
	}
	if f := c.Segments[7].Target; f != (Target{ByFeel: true, RPE: units.RPE{Low: 60, High: 75}, Incline: 10, HasIncline: true}) {
		t.Errorf("segment 7 is %+v", f)
	}
	if b := c.Segments[3]; !b.Between || b.Target.Incline != 20 || b.Name() != "walk, after twos 1 of 2" {
		t.Errorf("between the sets: %+v", b)
	}
}

// TestUnfold proves on random plans that segments follow each other without a
// gap and that sets are counted as they are run.
func TestUnfold(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := "class: X\nunits: km/h\nefforts:\n  a: {speed: 5}\nmain:\n"
		var length time.Duration
		segments := 0
		draw := func(times int) string {
			d := rapid.IntRange(3000, 90000).Draw(t, "ms")
			length += time.Duration(times*d) * time.Millisecond
			segments += times
			return fmt.Sprintf("{effort: a, for: %dms}", d)
		}
		for range rapid.IntRange(1, 4).Draw(t, "items") {
			sets := rapid.IntRange(0, 5).Draw(t, "sets")
			if sets == 0 {
				text += "  - " + draw(1) + "\n"
				continue
			}
			text += fmt.Sprintf("  - sets: %d\n    segments: [%s, %s]\n", sets, draw(sets), draw(sets))
			if sets > 1 && rapid.Bool().Draw(t, "between") {
				text += "    between: [" + draw(sets-1) + "]\n"
			}
		}
		p, problems := plan.Read("x.yaml", []byte(text))
		if len(problems) > 0 {
			t.Fatal(text, problems)
		}
		c, _ := Unfold(p)
		if c.Length != length || len(c.Segments) != segments {
			t.Fatalf("%d segments of %v, want %d of %v:\n%s", len(c.Segments), c.Length, segments, length, text)
		}
		at, set := time.Duration(0), 0
		for _, s := range c.Segments {
			if s.Start != at {
				t.Fatalf("a segment starts at %v, the one before ends at %v", s.Start, at)
			}
			at = s.End()
			if s.FirstOfSet {
				if s.Set != 1 && s.Set != set+1 {
					t.Fatalf("set %d opens after set %d", s.Set, set)
				}
				set = s.Set
			}
			if s.Set > s.Sets || s.Sets > 0 && s.Set != set {
				t.Fatalf("segment of set %d of %d inside set %d", s.Set, s.Sets, set)
			}
		}
	})
}

func TestFilesAreGood(t *testing.T) {
	files, _ := filepath.Glob("../../testdata/plans/good/*.yaml")
	if len(files) < 6 {
		t.Fatal(files)
	}
	for _, f := range files {
		unfold(t, f)
	}
}
