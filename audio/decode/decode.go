package decode

import "cuewright/audio"

type Clip struct {
	Rate     audio.Rate
	Channels int
	Samples  []float32 // interleaved
	Warnings []string
}

// ForeignError: sound but not readable natively; another program may know it.
type ForeignError struct{ Name, What string }

func (e *ForeignError) Error() string {
	return e.Name + ": " + e.What + " is not read natively: convert it to WAV"
}

func Bytes(name string, data []byte) (Clip, error) { panic("being written") }

func (c Clip) Mono() (audio.Sound, []string) { panic("being written") }
