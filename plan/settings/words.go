package settings

import (
	"cuewright/plan/problem"
	"cuewright/plan/strict"
)

// OwnWords are a coach's own sentences for the opening or the closing. One that the voice cannot say is left out.
type OwnWords struct {
	Pos problem.Pos
	Say []strict.Text `key:"say,required,filled" doc:"sentences, in their order"`
}
