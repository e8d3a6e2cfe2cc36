package faults

import (
	"errors"
	"slices"
	"time"

	"cuewright/audio"
	"cuewright/audio/speech"
	"cuewright/audio/words"
)

// longest is the length from which a recording is not listened to any further:
// whatever it holds, it is no phrase.
const longest = time.Minute

// rules are all that needs words, in the order of the report.
var rules = []func(*recording) []Fault{noisy, hum, dc, rumble, cutStart, cutEnd, narrowBand, bothSides, echo, long}

// Judge judges one recording of a text as it was recorded. Echo among its faults
// is only a suspicion: whether a word or the room rings on is told by its
// companions (audio/review).
func Judge(clip audio.Clip, text string) Report {
	r := Report{Text: text, Loudness: silent}
	damage := damaged(clip)
	if length := clip.Rate.Length(int64(len(clip.Samples) / clip.Channels)); length > longest {
		r.Faults = append(damage, Fault{Long, Error, length.Seconds(), longest.Seconds(), "s in all", "record one phrase a file"})
		return r
	}
	sound, _ := clip.Mono()
	found, err := speech.Bounds(sound)
	switch {
	case errors.Is(err, speech.ErrNone):
		r.Faults = slices.Concat(damage, []Fault{noSpeech}, clipped(clip), sides(clip))
		return r
	case err != nil:
		r.Faults = append(damage, unreadable(err))
		return r
	}
	r.Seconds = sound.Rate.Length(int64(found.To - found.From)).Seconds()
	r.Loudness = max(silent, speech.Loudness(audio.Sound{Rate: sound.Rate, Samples: sound.Samples[found.From:found.To]}))
	r.Faults = slices.Concat(damage, clipped(clip), quiet(r.Loudness))
	rec := newRecording(clip, sound, found, len(words.Of(text)))
	for _, rule := range rules {
		r.Faults = append(r.Faults, rule(rec)...)
	}
	return r
}

// damaged is what was wrong with the file itself. What of it would be heard, such as a
// word that is cut, the other rules find.
func damaged(clip audio.Clip) []Fault {
	var found []Fault
	for _, w := range clip.Warnings {
		found = append(found, Fault{Kind: Damaged, Severity: Warning, Advice: w})
	}
	return found
}

var noSpeech = Fault{Kind: NoSpeech, Severity: Error,
	Advice: "nothing stands out as speech: record again, nearer to the microphone"}

// Unread is what there is to say about a recording that could not be read.
func Unread(file, text string, err error) Report {
	return Report{File: file, Text: text, Loudness: silent, Faults: []Fault{unreadable(err)}}
}

func unreadable(err error) Fault {
	return Fault{Kind: Unreadable, Severity: Error, Advice: err.Error()}
}
