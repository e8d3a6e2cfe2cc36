package faults

import "math"

// A Kind is a name for what is wrong; it is a promise to programs.
type Kind string

// The kinds of faults, in the order in which a report lists them.
const (
	Unreadable  Kind = "unreadable"   // no sound could be read; the reason is the advice
	Damaged     Kind = "damaged"      // the file is cut off or not as it should be; how is the advice
	NoSpeech    Kind = "no-speech"    // nothing in it stands out as speech
	Clipped     Kind = "clipped"      // the tops of the wave are cut off
	Quiet       Kind = "quiet"        // the words are far softer than usual
	Noisy       Kind = "noisy"        // too much noise under the words
	Hum         Kind = "hum"          // mains hum
	DC          Kind = "dc"           // the wave does not swing around zero
	Rumble      Kind = "rumble"       // pops, knocks or rumble below any voice
	CutStart    Kind = "cut-start"    // the recording starts within the word
	CutEnd      Kind = "cut-end"      // it stops within the word
	NarrowBand  Kind = "narrow-band"  // as through a telephone
	deadSide    Kind = "dead-side"    // one side of two holds no sound
	antiPhase   Kind = "anti-phase"   // both sides cancel each other
	Echo        Kind = "echo"         // the room rings on after the words
	Long        Kind = "long"         // silence, pauses or speech of unusual length
	UnevenTakes Kind = "uneven-takes" // a take unlike the first one of its text
	Unused      Kind = "unused"       // no sentence has these words
)

// Severity says how bad a fault is; it is a promise to programs.
type Severity string

// The severities.
const (
	Error   Severity = "error"   // it would be heard in a class
	Warning Severity = "warning" // it is mended on loading, or could be better
)

// A Fault is one thing wrong with one recording.
type Fault struct {
	Kind     Kind
	Severity Severity
	// Measured has passed Limit, on whichever side is the bad one. Both are
	// finite, and 0 where there is nothing to measure.
	Measured, Limit float64
	// Unit is what both are counted in, for people; empty where there is nothing
	// to measure.
	Unit string
	// Advice says in plain words what to do.
	Advice string
}

// silent is the level in dB or LUFS that stands for silence, since minus infinity
// cannot be written in JSON.
const silent = -120.0

// A Report is what there is to say about one recording.
type Report struct {
	File string // name in the folder; empty where Judge made it
	Text string // what it speaks
	// Seconds is how long the words last, without the silence around them; 0
	// where none were found.
	Seconds float64
	// Loudness of the words as recorded, in LUFS as by speech.Loudness; silent
	// where none were found.
	Loudness float64
	Faults   []Fault // none of a good recording
}

// power gives a mean square in dB, at least silent.
func power(p float64) float64 { return max(silent, 10*math.Log10(p)) }
