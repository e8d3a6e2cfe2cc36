// Package kind is the one table of the kinds of calls: what each is worded by, what it
// weighs, and what it claims. The sentence books are checked against it, and the list's
// schema, the page's order and the recording list come from it.
package kind

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

// claim is what a call says that can be true or not.
type claim uint8

// What a call claims. A sentence in the coach's own words is believed.
const (
	// Remaining is the time until the change.
	Remaining claim = 1 << iota
	// Length is how long the segment lasts.
	Length
	// Numbers are the targets of the segment that comes.
	Numbers
	// Middle is the middle of the class.
	Middle
	// Place is where in the class it is said: the wording of one stretch is not true in another.
	Place
)

// A sentence is one thing that a sentence book words.
type sentence struct {
	Key string
	// Slots are those that its wordings may use, parted by spaces.
	Slots string
	// Needs are the slots that each wording must have; of some parted by | it must have one.
	Needs string
}

// A row is what is to be known of a kind.
type row struct {
	Kind      Kind
	Sentences []sentence
	// Weight is what a call is worth in points, and Slope how many a second away from its
	// best time costs.
	Weight, Slope int64
	// Must is set where the call has to be made: its worth then towers over all calls
	// without it. MustRank is what each step to a shorter wording costs.
	Must, MustRank int64
	Claims         claim
	// Counts is set where the sentence holds numbers that vary.
	Counts bool
	// Rank is who gets room first where a drawing has little, from 0 to 2: what begins and
	// what the plan says, then what comes, then all else.
	Rank int
}

// Table has a row for each kind, in the order in which a class makes them.
var Table = []row{
	{Kind: Welcome, Weight: 40, Slope: 1, Rank: 2,
		Sentences: []sentence{{"welcome", "class", ""}, {"outline", "block number masculine feminine time", "number|masculine|feminine"}}},
	{Kind: Safety, Slope: 1, Must: 1e12, MustRank: 16_000, Rank: 1,
		Sentences: []sentence{{"safety", "", ""}}},
	// The numbers of a change must be heard before it, in whatever words. Each step of the
	// wording towers over all other calls too.
	{Kind: Ahead, Slope: 5, Must: 2e12, MustRank: 1e9, Rank: 1, Counts: true, Claims: Remaining | Numbers | Place,
		Sentences: []sentence{{"first", "effort targets", "targets"}, {"ahead", "time effort changes needed", "changes|needed"}, {"end", "time", ""},
			{"leave", "time effort", ""}, {"floor", "time effort", ""}, {"floor-end", "time", ""}}},
	// Nobody is asked for a speed who does not stand at the belt.
	{Kind: Return, Slope: 5, Must: 2e12, MustRank: 16_000, Rank: 1, Claims: Place,
		Sentences: []sentence{{"return", "", ""}}},
	// Numbers are heard when the keys are pressed, the speed at least.
	{Kind: Confirm, Slope: 5, Must: 3e12, MustRank: 2e10, Rank: 2, Counts: true, Claims: Place,
		Sentences: []sentence{{"confirm", "changed speed", "changed|speed"}}},
	{Kind: Repeat, Weight: 45, Slope: 1, Rank: 2, Counts: true, Claims: Place,
		Sentences: []sentence{{"repeat", "changed", "changed"}}},
	{Kind: Now, Weight: 80, Slope: 6, Rank: 0, Counts: true, Claims: Length | Place,
		Sentences: []sentence{{"now", "effort time", ""}, {"now-part", "part effort time", ""}}},
	{Kind: Left, Weight: 40, Slope: 6, Rank: 2, Counts: true, Claims: Remaining,
		Sentences: []sentence{{"left", "time", ""}}},
	{Kind: Set, Weight: 50, Slope: 2, Rank: 2, Counts: true, Claims: Place,
		Sentences: []sentence{{"set", "set sets block", ""}, {"set-outer", "set sets outer outers", ""}}},
	{Kind: Last, Weight: 60, Slope: 2, Rank: 2, Claims: Place,
		Sentences: []sentence{{"last", "set sets", ""}, {"last-here", "block", ""}}},
	{Kind: Halfway, Weight: 50, Slope: 3, Rank: 2, Claims: Middle | Place,
		Sentences: []sentence{{"halfway", "", ""}}},
	{Kind: Finish, Weight: 60, Slope: 2, Rank: 2,
		Sentences: []sentence{{"finish", "", ""}, {"floor-finish", "", ""}}},
	{Kind: Count, Counts: true, Rank: 2,
		Sentences: []sentence{{"mark", "", ""}}},
	{Kind: Say, Weight: 100, Slope: 4, Rank: 0},
	{Kind: Reminder, Rank: 2},
}

// Of returns the row of a kind; one that is not in the table has an empty row.
func Of(k Kind) *row {
	for i := range Table {
		if Table[i].Kind == k {
			return &Table[i]
		}
	}
	return new(row)
}

// Has reports whether a call of kind k claims c.
func (k Kind) Has(c claim) bool { return Of(k).Claims&c != 0 }

// Sentences lists all that a sentence book words, in the order of the table.
func Sentences() []sentence {
	var all []sentence
	for _, r := range Table {
		all = append(all, r.Sentences...)
	}
	return all
}
