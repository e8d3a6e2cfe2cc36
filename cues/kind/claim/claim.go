// Package claim is what a call may say that can be true or not.
package claim

// Claim is a set of claims. A sentence in the coach's own words has none: it is believed.
type Claim uint8

// What a call may claim.
const (
	// Remaining is the time until the change.
	Remaining Claim = 1 << iota
	// Length is how long the segment lasts.
	Length
	// Numbers are the targets of the segment that comes.
	Numbers
	// Middle is the middle of the class.
	Middle
	// Place is where in the class it is said: the wording of one stretch is not true in another.
	Place
)
