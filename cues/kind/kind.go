// Package kind is the one table of the kinds of calls: what each is worded by, what it
// weighs, and what it claims. The sentence books are checked against it, and the list's
// schema, the page's order and the recording list come from it.
package kind

import "cuewright/cues/kind/claim"

// Kind tells why a cue is there.
type Kind string

// The kinds of cues.
const (
	Welcome  Kind = "welcome"
	Safety   Kind = "safety"
	Ahead    Kind = "ahead"    // the warning of the next change
	Return   Kind = "return"   // off the belt: back onto it, before the warning
	Confirm  Kind = "confirm"  // the numbers that have just changed
	Repeat   Kind = "repeat"   // the same in the middle of a long segment
	Now      Kind = "now"      // what has begun, and for how long
	Left     Kind = "left"     // the time left in a segment
	Set      Kind = "set"      // which set begins
	Last     Kind = "last"     // the last set begins
	Halfway  Kind = "halfway"  // half of the class is done
	Finish   Kind = "finish"   // the last sentence
	Count    Kind = "count"    // the seconds to a change, and the mark on it
	Say      Kind = "say"      // a sentence of the plan
	Reminder Kind = "reminder" // form or breath, where there is room
)

// A Sentence is one thing that a sentence book words.
type Sentence struct {
	Key string
	// Slots are those that its wordings may use, parted by spaces.
	Slots string
	// Needs are the slots that each wording must have; of some parted by | it must have one.
	Needs string
}

// A Row is what is to be known of a kind.
type Row struct {
	Kind      Kind
	Sentences []Sentence
	// Weight is what a call is worth in points, and Slope how many a second away from its
	// best time costs.
	Weight, Slope int64
	// Must is set where the call has to be made: its worth then towers over all calls
	// without it. MustRank is what each step to a shorter wording costs.
	Must, MustRank int64
	Claims         claim.Claim
	// Counts is set where the sentence holds numbers that vary.
	Counts bool
	// Rank is who gets room first where a drawing has little, from 0 to 2: what begins and
	// what the plan says, then what comes, then all else.
	Rank int
}

// Table has a row for each kind, in the order in which a class makes them.
var Table = []Row{
	{Kind: Welcome, Weight: 40, Slope: 1, Rank: 2,
		Sentences: []Sentence{{"welcome", "class", ""}, {"outline", "block number masculine feminine time", "number|masculine|feminine"}}},
	{Kind: Safety, Slope: 1, Must: 1e12, MustRank: 16_000, Rank: 1,
		Sentences: []Sentence{{"safety", "", ""}}},
	// The numbers of a change must be heard before it, in whatever words. Each step of the
	// wording towers over all other calls too.
	{Kind: Ahead, Slope: 5, Must: 2e12, MustRank: 1e9, Rank: 1, Counts: true, Claims: claim.Remaining | claim.Numbers | claim.Place,
		Sentences: []Sentence{{"first", "effort targets", "targets"}, {"ahead", "time effort changes needed", "changes|needed"}, {"end", "time", ""},
			{"leave", "time effort", ""}, {"floor", "time effort", ""}, {"floor-end", "time", ""}}},
	// Nobody is asked for a speed who does not stand at the belt.
	{Kind: Return, Slope: 5, Must: 2e12, MustRank: 16_000, Rank: 1, Claims: claim.Place,
		Sentences: []Sentence{{"return", "", ""}}},
	// Numbers are heard when the keys are pressed, the speed at least.
	{Kind: Confirm, Slope: 5, Must: 3e12, MustRank: 2e10, Rank: 2, Counts: true, Claims: claim.Place,
		Sentences: []Sentence{{"confirm", "changed speed", "changed|speed"}}},
	{Kind: Repeat, Weight: 45, Slope: 1, Rank: 2, Counts: true, Claims: claim.Place,
		Sentences: []Sentence{{"repeat", "changed", "changed"}}},
	{Kind: Now, Weight: 80, Slope: 6, Rank: 0, Counts: true, Claims: claim.Length | claim.Place,
		Sentences: []Sentence{{"now", "effort time", ""}, {"now-part", "part effort time", ""}}},
	{Kind: Left, Weight: 40, Slope: 6, Rank: 2, Counts: true, Claims: claim.Remaining,
		Sentences: []Sentence{{"left", "time", ""}}},
	{Kind: Set, Weight: 50, Slope: 2, Rank: 2, Counts: true, Claims: claim.Place,
		Sentences: []Sentence{{"set", "set sets block", ""}, {"set-outer", "set sets outer outers", ""}}},
	{Kind: Last, Weight: 60, Slope: 2, Rank: 2, Claims: claim.Place,
		Sentences: []Sentence{{"last", "set sets", ""}, {"last-here", "block", ""}}},
	{Kind: Halfway, Weight: 50, Slope: 3, Rank: 2, Claims: claim.Middle | claim.Place,
		Sentences: []Sentence{{"halfway", "", ""}}},
	{Kind: Finish, Weight: 60, Slope: 2, Rank: 2,
		Sentences: []Sentence{{"finish", "", ""}, {"floor-finish", "", ""}}},
	{Kind: Count, Counts: true, Rank: 2,
		Sentences: []Sentence{{"mark", "", ""}}},
	{Kind: Say, Weight: 100, Slope: 4, Rank: 0},
	{Kind: Reminder, Rank: 2},
}

// Of returns the row of a kind; one that is not in the table has an empty row.
func Of(k Kind) *Row {
	for i := range Table {
		if Table[i].Kind == k {
			return &Table[i]
		}
	}
	return new(Row)
}

// Has reports whether a call of kind k claims c.
func (k Kind) Has(c claim.Claim) bool { return Of(k).Claims&c != 0 }

// Sentences lists all that a sentence book words, in the order of the table.
func Sentences() []Sentence {
	var all []Sentence
	for _, r := range Table {
		all = append(all, r.Sentences...)
	}
	return all
}
