package settings

import (
	"cuewright/plan/problem"
	"cuewright/plan/strict"
)

// Opening is what is said in the opening besides welcome, safety and the first numbers.
type Opening struct {
	Pos     problem.Pos
	Say     []strict.Text          `key:"say,filled" doc:"sentences, in their order"`
	Outline strict.Choice[outline] `key:"outline" one-of:"short" doc:"short: a sentence from the plan, how many sets of how long"`
}

// outline is how a class is told in its opening.
type outline string

// shortOutline is an outline in one sentence.
const shortOutline outline = "short"

// Outlined reports whether the class is told in a sentence.
func (o *Opening) Outlined() bool { return o.Outline.Value == shortOutline }

// OwnWords are a coach's own sentences for the closing. One that the voice cannot say is left out.
type OwnWords struct {
	Pos problem.Pos
	Say []strict.Text `key:"say,required,filled" doc:"sentences, in their order"`
}
