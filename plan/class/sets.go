package class

import (
	"time"

	"cuewright/plan/parts"
)

// Sets are those of one block of a class.
type Sets struct {
	Name string // of the block, or nothing
	Sets int
	// Each is how long one set lasts, without what stands between; 0 where they differ.
	Each time.Duration
}

// LongestSets are the outermost sets of the main part that take the most time, the first of them where several do; ok is
// false where there are none.
func (c *Class) LongestSets() (longest Sets, ok bool) {
	most := time.Duration(0)
	for i := 0; i < len(c.Segments); {
		block, name, sets := c.Segments[i].outermost()
		from := i
		var each []time.Duration // by set
		for ; i < len(c.Segments); i++ {
			s := &c.Segments[i]
			if b, _, _ := s.outermost(); b != block || i > from && block == 0 {
				break
			}
			set, between := s.Set, s.Between
			if s.Outer.Block > 0 {
				set, between = s.Outer.Set, false
			}
			for len(each) < set {
				each = append(each, 0)
			}
			if set > 0 && !between {
				each[set-1] += s.Length
			}
		}
		if length := c.Segments[i-1].End() - c.Segments[from].Start; sets > 1 && c.Segments[from].Part == parts.Main && length > most {
			most, ok = length, true
			longest = Sets{Name: name, Sets: sets, Each: each[0]}
			for _, d := range each {
				if d != each[0] {
					longest.Each = 0
				}
			}
		}
	}
	return longest, ok
}

// outermost is the outermost block of sets that s stands in, with its name and how often it is run; zeros outside.
func (s *Segment) outermost() (block int, name string, sets int) {
	if o := s.Outer; o.Block > 0 {
		return o.Block, o.BlockName, o.Sets
	}
	return s.Block, s.BlockName, s.Sets
}
