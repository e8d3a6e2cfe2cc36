package voice

import (
	"cmp"
	"slices"
	"time"

	"cuewright/audio"
	"cuewright/audio/decode"
	"cuewright/audio/loudness"
)

// What a check of the recordings needs to know of how they are prepared.

// Quietest is the loudness in LUFS, as by [Loudness], under which a recording
// cannot be lifted to [Level].
const Quietest = Level - mostGain

// ErrNoSpeech is the error of [Bounds] for sounds without speech.
var ErrNoSpeech = errNoSpeech

// Speech says where the words of a recording lie.
type Speech struct {
	From, To int // frames; To is the first after the words
	// Before and After are the pauses between the words and more speech on that
	// side, which is left out because the pause is longer than 0.6 s; 0 where
	// there is none.
	Before, After time.Duration
}

// Bounds finds the words in a recording as they are cut out for a class,
// without the 10 ms before and the 30 ms after them that are kept too. The error
// is [ErrNoSpeech], or says that the samples are no sound at all.
func Bounds(s audio.Sound) (Speech, error) {
	x, err := withoutDC(s)
	if err != nil {
		return Speech{}, err
	}
	found, err := findSpeech(x, s.Rate)
	if err != nil {
		return Speech{}, err
	}
	return Speech{found.from, found.to, found.before, found.after}, nil
}

// Loudness is how loud the words of a recording count when recordings are
// brought to one level, in LUFS: the loudest 400 ms, or the loudest 200 ms less
// 2 LU where that is more. Silence is -Inf.
func Loudness(words audio.Sound) float64 {
	loud := loudness.MaxWindows(words, 400*time.Millisecond, 200*time.Millisecond)
	return max(loud[0], loud[1]-shortWindow)
}

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
func (v *Voice) Decode(r Recording) (decode.Clip, error) {
	data, err := v.bytes(r.File)
	if err != nil {
		return decode.Clip{}, err
	}
	return v.decode(r.File, data)
}
