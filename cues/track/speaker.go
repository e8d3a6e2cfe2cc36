// Package track makes a list of cues audible: it joins cues, voice and audio to
// samples and writes them to a file.
package track

import (
	"context"
	"io/fs"
	"math"
	"strings"

	"cuewright/audio"
	"cuewright/audio/clip"
	"cuewright/audio/voice"
	"cuewright/audio/words"
	"cuewright/cues"
	"cuewright/cues/calls"
	"cuewright/cues/phrase"
	"cuewright/plan/class"
	"cuewright/plan/settings"
)

// A Speaker is a voice that speaks the sentences of a book: the [cues.Voice] of
// a folder of recordings. It is not safe for concurrent use.
type Speaker struct {
	Voice *voice.Voice
	rate  audio.Rate
	said  map[string]saying
	turn  map[string]int // the next take of a recording's text
	// performed holds the recordings of what was performed, by text and clips.
	performed map[string][]voice.Placed
}

type saying struct {
	sentence voice.Sentence
	spoken   cues.Spoken
	missing  []string
}

// OpenSpeaker opens a folder of recordings for a plan's track. cache is a folder
// for prepared clips, "" for none; ctx ends what is run to read recordings, now
// and later. The errors are those of voice.Open.
func OpenSpeaker(ctx context.Context, folder fs.FS, book *phrase.Book, t settings.Track, cache string) (*Speaker, error) {
	rate := audio.Rate(t.Rate.Value)
	v, err := voice.Open(folder, voice.Options{Rate: rate, Presence: float64(t.Presence.Value) / 10, Tight: book.NumberWords(),
		Names: NamesOf(book), Cache: cache, Context: ctx})
	if err != nil {
		return nil, err
	}
	return newSpeaker(v, rate), nil
}

// Another is a speaker of the same recordings that has said nothing yet. Both
// may be used at the same time.
func (s *Speaker) Another() *Speaker { return newSpeaker(s.Voice, s.rate) }

func newSpeaker(v *voice.Voice, rate audio.Rate) *Speaker {
	return &Speaker{Voice: v, rate: rate, said: map[string]saying{}, turn: map[string]int{},
		performed: map[string][]voice.Placed{}}
}

// Measure measures a text.
func (s *Speaker) Measure(text string) (cues.Spoken, []string) {
	said, ok := s.said[text]
	if !ok {
		said = s.measure(text)
		s.said[text] = said
	}
	return said.spoken, said.missing
}

func (s *Speaker) measure(text string) saying {
	sentence, missing := s.Voice.Speak(text)
	words := words.Of(text)
	out := saying{sentence: sentence, missing: missing}
	out.spoken.Words = words
	if len(missing) > 0 || len(words) == 0 {
		out.spoken = cues.Estimate(text)
		if len(words) == 0 {
			out.missing = []string{text} // nothing a recording could be called
		}
		return out
	}
	out.spoken.Length = sentence.Length
	for _, w := range sentence.Words {
		out.spoken.When = append(out.spoken.When, cues.Span{From: w.Earliest, To: w.Latest})
	}
	for take := range sentence.Parts[0].Takes {
		first := s.Voice.Lay(sentence, func(part string, takes int) int { return min(take, takes-1) })[0]
		out.spoken.Beat = max(out.spoken.Beat, s.rate.Length(first.Clip.Beat))
	}
	return out
}

// Parts is how many recordings a text is spoken with, 0 where it cannot be said.
func (s *Speaker) Parts(text string) int {
	s.Measure(text)
	return len(s.said[text].sentence.Parts)
}

// Select speaks a text with the takes whose turn it is. A text that cannot be
// said takes its estimated time and has no clips.
func (s *Speaker) Select(text string) cues.Takes {
	spoken, missing := s.Measure(text)
	if len(missing) > 0 {
		return cues.Takes{Length: spoken.Length}
	}
	placed := s.Voice.Lay(s.said[text].sentence, func(part string, takes int) int {
		take := s.turn[part] % takes
		s.turn[part]++
		return take
	})
	var p cues.Takes
	for _, x := range placed {
		p.Length = max(p.Length, s.rate.Length(x.Offset+int64(len(x.Clip.Samples))))
		p.Clips = append(p.Clips, x.File)
	}
	p.Beat = s.rate.Length(placed[0].Clip.Beat)
	s.performed[performance(text, p.Clips)] = placed
	return p
}

// Crest is how far the highest sample of what is spoken in a list, whose cues the
// speaker has performed, stands over the level of the voice as heard from two
// speakers, in dB.
func (s *Speaker) Crest(l *cues.List) float64 {
	var highest float32
	for i := range l.Cues {
		c := &l.Cues[i]
		if c.Lane != cues.Speech {
			continue
		}
		for _, p := range s.performed[performance(c.Text, c.Clips)] {
			for _, x := range p.Clip.Samples {
				highest = max(highest, x, -x)
			}
		}
	}
	return 20*math.Log10(float64(highest)) - clip.Level - twoSpeakers
}

func performance(text string, clips []string) string {
	return text + "\x00" + strings.Join(clips, "\x00")
}

// Schedule makes the list of cues of a class in this voice. It first asks for
// everything the class might say, to open those recordings side by side.
func (s *Speaker) Schedule(c *class.Class, book *phrase.Book) *cues.List {
	s.Voice.Prepare(calls.Texts(c, book))
	clear(s.turn)
	return cues.Schedule(c, book, s)
}

// NamesOf returns what files of a voice speak, where its voice.yaml says it.
func NamesOf(book *phrase.Book) map[string]string {
	names := map[string]string{}
	for i, file := range book.Recordings.Keys {
		names[file.Value] = book.Recordings.Items[i].Value
	}
	return names
}
