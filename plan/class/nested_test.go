package class

import (
	"fmt"
	"math/big"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"cuewright/plan"
	"cuewright/plan/units"
)

// A drawn is a segment or a block of a random plan, written and unfolded by this test's own plain recursion.
type drawn struct {
	sets           int // 0 for a segment
	name           string
	within         []drawn
	between        []drawn
	ms, incline    int64 // of the first set; tenths
	speed          int64 // tenths of a km/h
	byMS           int64
	byIncline      int64
	bySpeed        int64
	inclines       []int64 // for each set
	ramp           []int64 // two inclines in tenths
	steps          int64
	share          int64 // of a pace of 10 km/h to 12 km/h, in percent
	say            bool
	sayIn          string
	outside, inner bool
}

func drawSegment(t *rapid.T, sets int) drawn {
	d := drawn{ms: int64(rapid.IntRange(20, 300).Draw(t, "s")) * 1000, incline: int64(rapid.IntRange(0, 100).Draw(t, "incline")), speed: int64(rapid.IntRange(40, 120).Draw(t, "speed"))}
	if rapid.IntRange(0, 3).Draw(t, "ramp") == 0 {
		d.steps = int64(rapid.IntRange(2, 5).Draw(t, "steps"))
		d.ms = d.steps * 20_000
		d.ramp = []int64{int64(rapid.IntRange(0, 100).Draw(t, "from")), int64(rapid.IntRange(0, 100).Draw(t, "to"))}
	} else if sets > 0 {
		d.byMS = int64(rapid.IntRange(-2, 5).Draw(t, "more")) * 500
		if rapid.Bool().Draw(t, "list") {
			for range sets {
				d.inclines = append(d.inclines, int64(rapid.IntRange(-50, 150).Draw(t, "one")))
			}
		} else {
			d.byIncline = int64(rapid.IntRange(-5, 15).Draw(t, "up"))
		}
		d.bySpeed = int64(rapid.IntRange(-2, 5).Draw(t, "faster"))
	}
	if rapid.IntRange(0, 3).Draw(t, "share") == 0 {
		d.share, d.bySpeed = int64(rapid.IntRange(60, 120).Draw(t, "percent")), 0
	}
	if d.say = rapid.IntRange(0, 2).Draw(t, "say") == 0; d.say && sets > 0 {
		d.sayIn = rapid.SampledFrom([]string{"", "last", "odd", "even", "1", "[1]"}).Draw(t, "set")
		if d.sayIn == "last" && d.outside {
			d.sayIn = ""
		}
	}
	return d
}

func drawItem(t *rapid.T, depth int) drawn {
	if depth == 0 || depth < 2 && rapid.Bool().Draw(t, "segment") || depth == 2 && rapid.IntRange(0, 2).Draw(t, "segment") == 0 {
		return drawSegment(t, 0)
	}
	d := drawn{sets: rapid.IntRange(1, 4).Draw(t, "sets"), name: rapid.SampledFrom([]string{"", "hills", "ladder"}).Draw(t, "name")}
	for range rapid.IntRange(1, 3).Draw(t, "within") {
		if depth > 1 && rapid.Bool().Draw(t, "deeper") {
			in := drawItem(t, depth-1)
			if in.sets > 0 {
				d.within = append(d.within, in)
				continue
			}
		}
		d.within = append(d.within, drawSegment(t, d.sets))
	}
	if d.sets > 1 && rapid.Bool().Draw(t, "between") {
		s := drawSegment(t, d.sets-1)
		if s.sayIn == "last" {
			s.sayIn = ""
		}
		d.between = []drawn{s}
	}
	return d
}

func tenths(v int64) string { return units.FormatTenths(v) }

// write writes an item as YAML.
func (d drawn) write(b *strings.Builder, indent string) {
	if d.sets > 0 {
		fmt.Fprintf(b, "%s- sets: %d\n", indent, d.sets)
		if d.name != "" {
			fmt.Fprintf(b, "%s  name: %s\n", indent, d.name)
		}
		fmt.Fprintf(b, "%s  segments:\n", indent)
		for _, in := range d.within {
			in.write(b, indent+"    ")
		}
		if len(d.between) > 0 {
			fmt.Fprintf(b, "%s  between:\n", indent)
			d.between[0].write(b, indent+"    ")
		}
		return
	}
	speed := tenths(d.speed)
	if d.share > 0 {
		speed = fmt.Sprintf("%d %% of steady", d.share)
	}
	fmt.Fprintf(b, "%s- {speed: %s, for: %dms", indent, speed, d.ms)
	if d.ramp != nil {
		fmt.Fprintf(b, ", ramp: {incline: [%s, %s], every: 20s}", tenths(d.ramp[0]), tenths(d.ramp[1]))
	} else if d.inclines == nil {
		fmt.Fprintf(b, ", incline: %s", tenths(d.incline))
	}
	var each []string
	if d.byMS != 0 {
		each = append(each, fmt.Sprintf("for: %+dms", d.byMS))
	}
	signed := func(key string, v int64) {
		if v != 0 {
			sign := "+"
			if v < 0 {
				sign = ""
			}
			each = append(each, key+": "+sign+tenths(v))
		}
	}
	signed("incline", d.byIncline)
	signed("speed", d.bySpeed)
	if d.inclines != nil {
		var list []string
		for _, v := range d.inclines {
			list = append(list, tenths(v))
		}
		each = append(each, "incline: ["+strings.Join(list, ", ")+"]")
	}
	if each != nil {
		fmt.Fprintf(b, ", each: {%s}", strings.Join(each, ", "))
	}
	if d.say {
		b.WriteString(", say: [{at: 5s, text: go on")
		if d.sayIn != "" {
			b.WriteString(", set: " + d.sayIn)
		}
		b.WriteString("}]")
	}
	b.WriteString("}\n")
}

// A due is what a segment of the class should be, in one line.
func due(at time.Duration, ms, incline, low, high int64, set, sets, outer, outers int, between, says bool) string {
	return fmt.Sprintf("%v %d ms, incline %d, speed %d to %d, set %d of %d in %d of %d, between %v, says %v", at, ms, incline, low, high, set, sets, outer, outers, between, says)
}

// unfold is the plain recursion.
func (d drawn) unfold(out *[]string, at *time.Duration, set, sets, outer, outers int, between bool) {
	if d.sets > 0 {
		for k := 1; k <= d.sets; k++ {
			for _, in := range d.within {
				if in.sets > 0 {
					in.unfold(out, at, 0, 0, k, d.sets, false)
				} else {
					in.unfold(out, at, k, d.sets, outer, outers, false)
				}
			}
			for _, in := range d.between {
				if k < d.sets {
					in.unfold(out, at, k, d.sets, outer, outers, true)
				}
			}
		}
		return
	}
	n := int64(max(set, 1) - 1)
	ms, incline, low, high := d.ms+n*d.byMS, d.incline+n*d.byIncline, d.speed+n*d.bySpeed, d.speed+n*d.bySpeed
	if d.inclines != nil {
		incline = d.inclines[n]
	}
	if d.share > 0 {
		low, high = (100*d.share+50)/100, (120*d.share+50)/100
	}
	says := d.say
	switch d.sayIn {
	case "last":
		says = says && set == sets
	case "odd":
		says = says && set%2 == 1
	case "even":
		says = says && set%2 == 0
	case "1", "[1]":
		says = says && set == 1
	}
	if d.ramp == nil {
		*out = append(*out, due(*at, ms, incline, low, high, set, sets, outer, outers, between, says))
		*at += time.Duration(ms) * time.Millisecond
		return
	}
	for k := range d.steps {
		// from + (to-from)·k/(steps-1), to the nearest half percent, halves up.
		x := new(big.Rat).Add(big.NewRat(d.ramp[0], 5), new(big.Rat).Mul(big.NewRat(d.ramp[1]-d.ramp[0], 5), big.NewRat(k, d.steps-1)))
		f, _ := x.Add(x, big.NewRat(1, 2)).Float64()
		incline := int64(f+1e-9) * 5
		*out = append(*out, due(*at, 20_000, incline, low, high, set, sets, outer, outers, between, says && k == 0))
		*at += 20 * time.Second
	}
}

// TestNested unfolds random plans of sets in sets, changes, lists, ramps and shares as a plain recursion does.
func TestNested(t *testing.T) {
	deep, changed := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		var text strings.Builder
		text.WriteString("class: X\nunits: km/h\npaces: {steady: [10, 12]}\nmain:\n")
		var want []string
		at := time.Duration(0)
		for range rapid.IntRange(1, 4).Draw(t, "items") {
			d := drawItem(t, 2)
			d.write(&text, "  ")
			d.unfold(&want, &at, 0, 0, 0, 0, false)
		}
		p, problems := plan.Read("x.yaml", []byte(text.String()))
		if len(problems) > 0 {
			if strings.Contains(problems[0].Message, "outside") {
				return // a change that goes too far, or a class that grows too long
			}
			t.Fatal(text.String(), problems)
		}
		c, _ := Unfold(p)
		var got []string
		blocks := map[int]bool{}
		for _, s := range c.Segments {
			speed := s.Target.PlanSpeed
			got = append(got, due(s.Start, s.Length.Milliseconds(), s.Target.Incline, int64(speed.Low), int64(speed.High), s.Set, s.Sets, s.Outer.Set, s.Outer.Sets, s.Between, len(s.FixedCues) > 0))
			if s.Outer.Sets > 1 && s.Sets > 1 {
				deep++
			}
			if s.FirstOfSet && s.Set == 1 && blocks[s.Block] {
				t.Fatalf("%sblock %d begins twice", text.String(), s.Block)
			}
			if s.FirstOfSet && s.Set == 1 {
				blocks[s.Block] = true
			}
		}
		changed += strings.Count(text.String(), "each:")
		if strings.Join(got, "\n") != strings.Join(want, "\n") || c.Length != at {
			t.Fatalf("%s\n%s\nwant\n%s", text.String(), strings.Join(got, "\n"), strings.Join(want, "\n"))
		}
	})
	if (deep == 0 || changed == 0) && !testing.Short() { // a short run draws few
		t.Errorf("%d segments in sets in sets, %d changes: nothing was tried", deep, changed)
	}
}
