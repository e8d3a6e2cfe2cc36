package voice

import (
	"cuewright/audio/clip"
	"time"
	"unicode/utf8"
)

// A Sentence is how a text is spoken. The zero Sentence speaks nothing.
type Sentence struct {
	Parts []Part
	// Length runs from the first frame of the first clip, its pre-roll, to the
	// end of the last, with the longest take of each part.
	Length time.Duration
	// Words has an entry for every word of the text, as cut by Words.
	Words []Span
}

// A Part is one recording of a sentence.
type Part struct {
	// Text is what it speaks, folded as by Words.
	Text string
	// Takes is the number of recordings to choose from, at least 1.
	Takes int
	// Pause is the silence wanted before it, from the end of speech in the part
	// before to the start of speech in this one; 0 for the first part.
	Pause time.Duration
}

// A Span is the time after the sentence's first frame at which a word is heard
// to begin: at the earliest and at the latest, whatever takes are used. The
// first word of a recording begins where its speech does; words within it are
// placed by their letters over its stretch of speech.
type Span struct {
	Earliest, Latest time.Duration
}

// Placed is one clip of a sentence laid out.
type Placed struct {
	Clip *clip.Clip
	File string // the clip's name in the folder
	// Offset of the clip's first sample from the sentence's start, in frames.
	// The first is 0. Clips may overlap by their pre-roll and post-roll: add them.
	Offset int64
}

// Speak covers a text with the fewest recordings, however they lie to its
// commas and full stops; among equals the first is the longest. It opens the
// recordings it uses; one that proves unusable counts as not recorded, and
// the cover is searched again.
//
// Where words cannot be covered, the sentence is zero and the second result
// lists what to record: single words in the order of the text, each once, none
// of which could be left out. The recordings around them are opened too, so that
// a broken one is found and listed the first time. Text without words gives neither.
func (v *Voice) Speak(text string) (Sentence, []string) {
	words := split(text)
	parts, missing := v.find(texts(words))
	if len(missing) > 0 || len(parts) == 0 {
		return Sentence{}, missing
	}
	var (
		s     Sentence
		lead  = v.opt.Rate.Frame(clip.LeadTime)
		early = lead // where speech of the part begins at the earliest
		late  = lead
		at    int // index of the part's first word
	)
	for i, p := range parts {
		takes := v.usable(p)
		part := Part{Text: p.text, Takes: len(takes)}
		if i > 0 {
			part.Pause = v.pause(words[at-1], words[at])
			early += v.opt.Rate.Frame(part.Pause)
			late += v.opt.Rate.Frame(part.Pause)
		}
		short, long := takes[0].clip.Speech(), takes[0].clip.Speech()
		for _, r := range takes[1:] {
			short, long = min(short, r.clip.Speech()), max(long, r.clip.Speech())
		}
		s.Parts = append(s.Parts, part)
		s.Words = v.spans(s.Words, words[at:at+p.words], early, late, short, long)
		early, late, at = early+short, late+long, at+p.words
	}
	s.Length = v.opt.Rate.Length(late + v.opt.Rate.Frame(clip.TailTime))
	return s, nil
}

// spans adds the spans of the words of one part to out: its speech begins
// between the frames early and late and lasts from short to long frames.
func (v *Voice) spans(out []Span, words []word, early, late, short, long int64) []Span {
	var all, before int64
	for _, w := range words {
		all += int64(utf8.RuneCountInString(w.text))
	}
	for _, w := range words {
		out = append(out, Span{
			v.opt.Rate.Length(early + short*before/all),
			v.opt.Rate.Length(late + long*before/all),
		})
		before += int64(utf8.RuneCountInString(w.text))
	}
	return out
}

// pause is the silence wanted between the recordings of two words.
func (v *Voice) pause(before, after word) time.Duration {
	switch {
	case after.pause > 0:
		return after.pause
	case v.tight[before.text] && v.tight[after.text]:
		return PauseTight
	}
	return PauseWord
}

// Lay places the clips of a sentence that Speak returned, one for each part.
// Take chooses a take from 0 to takes-1 for a part; nil is the first of each.
// The clips are shared: their samples must not be changed. A sentence of another
// voice, or a take out of range, panics.
func (v *Voice) Lay(s Sentence, take func(partText string, takes int) int) []Placed {
	var out []Placed
	start := v.opt.Rate.Frame(clip.LeadTime) // of speech
	for _, p := range s.Parts {
		takes := v.usable(v.index.phrases[p.Text])
		n := 0
		if take != nil {
			n = take(p.Text, len(takes))
		}
		r := takes[n]
		start += v.opt.Rate.Frame(p.Pause)
		out = append(out, Placed{r.clip, r.file, start - r.clip.Lead})
		start += r.clip.Speech()
	}
	return out
}

// find covers words with phrases that have at least one usable take. What it
// opens depends on the words alone and not on what was opened before, so that
// Faults are the same in whatever order sentences are spoken.
func (v *Voice) find(words []string) (parts []*phrase, missing []string) {
	skip := map[*phrase]bool{}
	for {
		parts, missing = v.index.cover(words, skip)
		again := false
		for _, p := range parts {
			if len(v.usable(p)) == 0 {
				skip[p], again = true, true
			}
		}
		if !again {
			return parts, missing
		}
	}
}

func texts(words []word) []string {
	out := make([]string, len(words))
	for i, w := range words {
		out[i] = w.text
	}
	return out
}
