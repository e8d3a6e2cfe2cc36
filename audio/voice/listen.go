package voice

import (
	"cmp"
	"cuewright/audio"
	"cuewright/audio/decode"
	"slices"
)

// A Recording is one file of a voice.
type Recording struct {
	File string // name in the folder
	Text string // what it speaks, folded as by [Words]; never empty
}

// Recordings lists the files that may be opened, takes of one text one after the
// other in the order of their turns. Files that never can be are [Voice.Faults].
func (v *Voice) Recordings() []Recording {
	var out []Recording
	for _, p := range v.index.phrases {
		for _, r := range p.takes {
			out = append(out, Recording{r.file, r.text})
		}
	}
	// Stable, so that takes keep their order.
	slices.SortStableFunc(out, func(a, b Recording) int { return cmp.Compare(a.Text, b.Text) })
	return out
}

// Decode reads one recording as it was recorded. The error says what is wrong
// with the file, with its name where [decode.Any] puts it.
func (v *Voice) Decode(r Recording) (audio.Clip, error) {
	data, err := v.bytes(r.File)
	if err != nil {
		return audio.Clip{}, err
	}
	return decode.Any(v.context(), r.File, data)
}
