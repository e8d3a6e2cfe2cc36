package voice

import (
	"math/rand/v2"
	"testing/fstest"

	"cuewright/audio"
	"cuewright/audio/speech/speechtest"
)

// folder is a voice with a recording of every word in names, in clean silence.
func folder(rate audio.Rate, names ...string) fstest.MapFS {
	out := fstest.MapFS{}
	for i, name := range names {
		rng := rand.New(rand.NewPCG(uint64(i), 7))
		w := speechtest.Say(rate, 110+10*float64(i%5), rng, speechtest.Words[speechtest.Shapes[i%len(speechtest.Shapes)]]...)
		out[name] = &fstest.MapFile{Data: speechtest.WAV(rate, w.Padded(0.2, 0.25))}
	}
	return out
}
