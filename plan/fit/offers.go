package fit

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"cuewright/plan"
	"cuewright/plan/parts"
)

const (
	maxOffers = 3  // more are no help to choose
	maxTried  = 30 // so that a plan of thousands of segments costs no time
)

// Offers returns what would make a class of the given length as long as its plan
// promises, exactly, the most sensible first: at most three, of different kinds.
// There are none where nothing sensible does: no segment is more than doubled or
// halved, and one number is changed or two.
func Offers(p *plan.Plan, length time.Duration) []Offer {
	missing := p.Length.Value - length
	if missing == 0 || !p.Length.Pos.IsSet() {
		return nil
	}
	f := newOfferFinder(p, missing)
	f.byTime()
	f.bySets()
	slices.SortStableFunc(f.found, func(a, b Offer) int { return cmp.Compare(a.cost, b.cost) })
	var out []Offer
	for _, o := range f.found[:min(len(f.found), maxTried)] {
		alike := slices.ContainsFunc(out, func(other Offer) bool { return other.kind == o.kind })
		if !alike && len(out) < maxOffers && o.holds(p) {
			out = append(out, o)
		}
	}
	return out
}

// holds reports whether the plan with the offer is a good one: no sentence now
// stands outside its segment or belongs to a set that is gone.
func (o Offer) holds(p *plan.Plan) bool {
	return len(o.Apply(p).Check()) == 0
}

// An offerFinder looks for changes that make up for the time missing.
type offerFinder struct {
	plan    *plan.Plan
	missing time.Duration
	step    time.Duration // the grain of the changes
	levers  []lever
	ends    []lever // those that take what nothing else can
	length  map[parts.Part]time.Duration
	found   []Offer
}

func newOfferFinder(p *plan.Plan, missing time.Duration) *offerFinder {
	f := &offerFinder{plan: p, missing: missing, step: time.Second, levers: levers(p), length: map[parts.Part]time.Duration{}}
	if missing%time.Second != 0 {
		f.step = time.Millisecond
	}
	longest := map[parts.Part]lever{}
	for _, l := range f.levers {
		f.length[l.part] += l.all
		if best, ok := longest[l.part]; l.times == 1 && (!ok || l.segment.For.Value > best.segment.For.Value) {
			longest[l.part] = l
		}
	}
	for _, part := range []parts.Part{parts.WarmUp, parts.CoolDown} {
		if l, ok := longest[part]; ok {
			f.ends = append(f.ends, l)
		}
	}
	return f
}

func (f *offerFinder) add(cost float64, kind string, changes ...Change) {
	f.found = append(f.found, Offer{changes, cost, kind})
}

// together is what a second change costs beyond its own cost.
const together = 0.2

// byTime makes segments longer or shorter: one as written, or where that does
// not divide, one that is run several times and another that takes what is left.
func (f *offerFinder) byTime() {
	for _, l := range f.levers {
		times := time.Duration(l.times)
		each := f.missing / times / f.step * f.step
		change, cost, ok := f.move(l, each, l.times)
		if !ok {
			continue
		}
		rest := f.missing - each*times
		if rest == 0 {
			f.add(cost, l.kind(), change)
			continue
		}
		for _, end := range f.ends {
			if second, more, ok := f.move(end, rest, 1); ok {
				f.add(cost+more+together, l.kind(), change, second)
			}
		}
	}
}

// bySets runs a block of sets more or less often, and lets one segment take what
// is then left over or missing.
func (f *offerFinder) bySets() {
	for part, item := range f.plan.Items {
		if item.Block != nil {
			f.byBlock(part, item.Block)
		}
	}
}

func (f *offerFinder) byBlock(part parts.Part, b *parts.Block) {
	set, ok := f.oneSet(b)
	if !ok {
		return
	}
	takers := slices.Clone(f.ends)
	for _, l := range f.levers {
		if l.block == b && l.between {
			takers = append(takers, l)
		}
	}
	// The whole numbers of sets around what is missing.
	for _, k := range []int{int(f.missing / set), int(f.missing/set) + 1, int(f.missing/set) - 1} {
		sets := b.Sets.Value + k
		if k == 0 || sets < 1 || sets > 2*b.Sets.Value {
			continue
		}
		change := Change{Pos: b.Pos, Sets: k, what: setWords(b, k)}
		cost := 0.1 + 0.5*float64(max(k, -k))/float64(b.Sets.Value)
		rest := f.missing - time.Duration(k)*set
		if rest == 0 {
			f.add(cost, "sets", change)
			continue
		}
		for _, l := range takers {
			times := l.times
			switch b {
			case l.block:
				times += k
			case l.outer:
				times = times / b.Sets.Value * sets
			}
			if times < 1 || rest%(time.Duration(times)*f.step) != 0 {
				continue
			}
			if second, more, ok := f.move(l, rest/time.Duration(times), times); ok {
				f.add(cost+more+together, "sets", change, second)
			}
		}
	}
}

// oneSet is how long a set of a block lasts with what stands between it and the next; ok is false where they differ.
func (f *offerFinder) oneSet(b *parts.Block) (set time.Duration, ok bool) {
	for at := range f.plan.Written {
		if len(at.Loops) == 0 || at.Loops[0].Block != b {
			continue
		}
		direct := len(at.Loops) == 1
		if direct && at.Segment.Each.Pos.IsSet() {
			return 0, false
		}
		times := b.Sets.Value
		if direct && at.Between {
			times--
		}
		set += f.plan.AllTime(at) / time.Duration(max(1, times))
	}
	return set, set > 0
}

func setWords(b *parts.Block, k int) string {
	more, n := "more", k
	if k < 0 {
		more, n = "less", -k
	}
	words := fmt.Sprintf("%d sets %s", n, more)
	if n == 1 {
		words = "one set " + more
	}
	return fmt.Sprintf("%s, %d in all (line %d)", words, b.Sets.Value+k, b.Sets.Pos.Line)
}
