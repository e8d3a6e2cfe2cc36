// Package place finds the best times for the calls of one segment: exactly, over
// which calls are made, in which wording, and when each one starts.
//
// Time is counted in ticks from the segment's start. All values are whole
// numbers, so that equal problems have equal answers on every machine.
package place

import (
	"math"
	"sync"
)

// A Call is something that may be said once.
type Call struct {
	// Options are the ways to say it.
	Options []Option
	// After lists the calls (by index) that must not be made before this one:
	// once one of them was, this one is not made any more.
	After []int
}

// An Option is one wording of a call and when it may start.
type Option struct {
	// Value is what saying it is worth, more than 0; it may tower over the
	// others where a call must be made.
	Value int64
	// Length is how long it takes, at least 1 tick.
	Length int
	// From and To are the first and last tick at which it may start.
	From, To int
	// Prefer is the tick at which it starts best; every tick away costs Slope.
	Prefer int
	Slope  int64
}

// worth is the value of starting o at tick t.
func (o *Option) worth(t int) int64 {
	d := t - o.Prefer
	if d < 0 {
		d = -d
	}
	return o.Value - int64(d)*o.Slope
}

// A Problem is one stretch of time and the calls that want to be made in it.
type Problem struct {
	Calls []Call
	// Gap is how many ticks stay free between the end of a call and the start of
	// the next. Windows are taken as they are: who wants calls to end before
	// some tick sets To accordingly.
	Gap int
}

// A Choice is a call that is made: its option and its start.
type Choice struct{ Call, Option, Start int }

// MaxCalls is the most calls a Problem may have.
const MaxCalls = 64

// Solve returns the choices, by start, whose values less costs add up to the
// most, and that sum. Among equally good answers it takes the one that decides
// for the lower call and option number earliest, so the answer is unique.
//
// It is a dynamic program over ticks. The state is the set of calls that were
// made and still matter: a call whose windows are past no longer does. Calls
// with narrow windows thus cost little; 20 calls that are all free for an hour
// would cost a million states a tick and are not what it is for.
func Solve(p Problem) (choices []Choice, value int64) {
	if len(p.Calls) > MaxCalls {
		panic("place: more calls than MaxCalls")
	}
	s := newSolver(p)
	defer memos.Put(s.memo)
	value = s.best(s.first, 0)
	for t, made := s.first, uint64(0); t <= s.last; {
		step := s.memo[state{t, s.relevant(t, made)}]
		if step.call < 0 {
			t = s.next(t, made)
			continue
		}
		choices = append(choices, Choice{step.call, step.option, t})
		made |= 1 << step.call
		t += p.Calls[step.call].Options[step.option].Length + p.Gap
	}
	return choices, value
}

type state struct {
	tick int
	made uint64
}

type step struct {
	value        int64
	call, option int // call is -1 where waiting is best
}

type solver struct {
	Problem
	first, last int      // ticks at which anything may start
	until       []int    // until this tick it matters whether the call was made
	after       []uint64 // the calls that forbid this one
	memo        map[state]step
}

// memos are used again: a map that grows costs as much as what it holds.
var memos = sync.Pool{New: func() any { return map[state]step{} }}

func newSolver(p Problem) *solver {
	s := &solver{Problem: p, first: math.MaxInt, last: math.MinInt,
		until: make([]int, len(p.Calls)), after: make([]uint64, len(p.Calls)), memo: memos.Get().(map[state]step)}
	clear(s.memo)
	for i, c := range p.Calls {
		s.until[i] = math.MinInt
		for _, o := range c.Options {
			if o.From > o.To {
				continue
			}
			s.first, s.last = min(s.first, o.From), max(s.last, o.To)
			s.until[i] = max(s.until[i], o.To)
		}
	}
	ownEnd := append([]int(nil), s.until...)
	for i, c := range p.Calls {
		for _, other := range c.After {
			s.after[i] |= 1 << other
			s.until[other] = max(s.until[other], ownEnd[i])
		}
	}
	return s
}

// relevant drops from made the calls that no longer matter at tick t.
func (s *solver) relevant(t int, made uint64) uint64 {
	for i := range s.Calls {
		if made&(1<<i) != 0 && s.until[i] < t {
			made &^= 1 << i
		}
	}
	return made
}

// may reports whether call i can be made at all after those in made.
func (s *solver) may(i int, made uint64) bool {
	return made&(1<<i) == 0 && made&s.after[i] == 0
}

// next is the first tick after t at which anything may start, past last if none.
func (s *solver) next(t int, made uint64) int {
	next := s.last + 1
	for i, c := range s.Calls {
		if !s.may(i, made) {
			continue
		}
		for _, o := range c.Options {
			if o.To > t {
				next = min(next, max(o.From, t+1))
			}
		}
	}
	return next
}

// best is the most that can be gained from tick t on, after the calls in made.
func (s *solver) best(t int, made uint64) int64 {
	if t > s.last {
		return 0
	}
	made = s.relevant(t, made)
	key := state{t, made}
	if found, ok := s.memo[key]; ok {
		return found.value
	}
	// Recursion is as deep as there are ticks in open windows: waiting recurses
	// once for a tick, which Go's growing stacks bear.
	found := step{s.best(s.next(t, made), made), -1, 0}
	for i, c := range s.Calls {
		if !s.may(i, made) {
			continue
		}
		for k := range c.Options {
			o := &c.Options[k]
			if t < o.From || t > o.To {
				continue
			}
			v := o.worth(t) + s.best(t+o.Length+s.Gap, made|1<<i)
			// Not later than waiting when it is worth the same.
			if v > found.value || v == found.value && found.call < 0 {
				found = step{v, i, k}
			}
		}
	}
	s.memo[key] = found
	return found.value
}
