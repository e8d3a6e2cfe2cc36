package place

import (
	"fmt"
	"testing"

	"pgregory.net/rapid"
)

func TestSolve(t *testing.T) {
	// One call at its best, one that must give way to it, one that is dropped.
	p := Problem{Gap: 2, Calls: []Call{
		{Options: []Option{{Value: 100, Length: 5, From: 10, To: 10, Prefer: 10, Slope: 1}}},
		{Options: []Option{{Value: 50, Length: 4, From: 0, To: 30, Prefer: 9, Slope: 3}}},
		{Options: []Option{{Value: 20, Length: 9, From: 8, To: 12, Prefer: 9, Slope: 3}}},
	}}
	got, value := Solve(p)
	// Call 1 fits before call 0 at 4 (4+4+2=10) for 50-5*3, or after it at 17 for 50-8*3.
	if want := "[{1 0 4} {0 0 10}]"; fmt.Sprint(got) != want || value != 135 {
		t.Errorf("Solve = %v worth %d, want %s worth 135", got, value, want)
	}
}

func TestSolveNothingToDo(t *testing.T) {
	for _, p := range []Problem{{}, {Calls: []Call{{}}}, {Calls: []Call{{Options: []Option{{Value: 9, Length: 1, From: 5, To: 4}}}}}} {
		if got, value := Solve(p); len(got) != 0 || value != 0 {
			t.Errorf("Solve(%v) = %v worth %d, want nothing", p, got, value)
		}
	}
}

// TestSolveIsExact compares with every possible answer of small problems.
func TestSolveIsExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := Problem{Gap: rapid.IntRange(0, 3).Draw(t, "gap")}
		n := rapid.IntRange(1, 4).Draw(t, "calls")
		for i := range n {
			var c Call
			for range rapid.IntRange(1, 2).Draw(t, "options") {
				from := rapid.IntRange(-3, 15).Draw(t, "from")
				c.Options = append(c.Options, Option{
					Value:  rapid.Int64Range(1, 40).Draw(t, "value"),
					Length: rapid.IntRange(1, 6).Draw(t, "length"),
					From:   from, To: from + rapid.IntRange(-1, 8).Draw(t, "width"),
					Prefer: rapid.IntRange(-5, 20).Draw(t, "prefer"),
					Slope:  rapid.Int64Range(0, 5).Draw(t, "slope"),
				})
			}
			if other := rapid.IntRange(0, n-1).Draw(t, "after"); other != i {
				c.After = []int{other}
			}
			p.Calls = append(p.Calls, c)
		}
		got, value := Solve(p)
		if want := exhaust(p, -1000, 0); value != want {
			t.Fatalf("Solve is worth %d, trying everything %d", value, want)
		}
		// The choices are worth what Solve says, and allowed.
		sum, free, made := int64(0), -1000, uint64(0)
		for _, c := range got {
			o := p.Calls[c.Call].Options[c.Option]
			if c.Start < o.From || c.Start > o.To || c.Start < free || made&(1<<c.Call) != 0 {
				t.Fatalf("choice %v of %v is not allowed", c, got)
			}
			for _, a := range p.Calls[c.Call].After {
				if made&(1<<a) != 0 {
					t.Fatalf("call %d was made after call %d: %v", c.Call, a, got)
				}
			}
			made |= 1 << c.Call
			free = c.Start + o.Length + p.Gap
			sum += o.worth(c.Start)
		}
		if sum != value {
			t.Fatalf("choices %v are worth %d, Solve says %d", got, sum, value)
		}
	})
}

// exhaust tries every call, option and start next, without a thought.
func exhaust(p Problem, free int, made uint64) int64 {
	var best int64
	for i, c := range p.Calls {
		forbidden := made&(1<<i) != 0
		for _, a := range c.After {
			forbidden = forbidden || made&(1<<a) != 0
		}
		if forbidden {
			continue
		}
		for _, o := range c.Options {
			for t := max(o.From, free); t <= o.To; t++ {
				best = max(best, o.worth(t)+exhaust(p, t+o.Length+p.Gap, made|1<<i))
			}
		}
	}
	return best
}

// BenchmarkSolve is a long segment with everything in it.
func BenchmarkSolve(b *testing.B) {
	p := Problem{Gap: 7}
	add := func(value int64, length, from, to, prefer, options int) {
		var c Call
		for k := range options {
			c.Options = append(c.Options, Option{Value: value - int64(k), Length: length - k, From: from, To: to, Prefer: prefer, Slope: 1})
		}
		p.Calls = append(p.Calls, c)
	}
	add(1e9, 120, 2000, 2300, 2000, 18)
	add(70, 40, 13, 113, 16, 3)
	add(50, 30, 13, 200, 60, 2)
	for _, left := range []int{1200, 1800, 2200} {
		add(40, 24, left-20, left+20, left, 2)
	}
	for i := range 6 {
		add(100, 30, 300*i+100, 300*i+140, 300*i+120, 1)
	}
	for b.Loop() {
		Solve(p)
	}
}
