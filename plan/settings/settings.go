// Package settings is what a plan may set besides its segments: when calls are made, how
// the click, the music and the track are, and the limits of the advice on the class.
package settings

import (
	"time"

	"cuewright/plan/problem"
	"cuewright/plan/strict"
)

// Calls says when calls are made.
type Calls struct {
	Pos       problem.Pos
	Opening   strict.Duration          `key:"opening" in:"3s..10m" doc:"the time before the first segment, for welcome, safety and the first count"`
	Closing   strict.Duration          `key:"closing" in:"1s..10m" doc:"the time after the last segment"`
	Ahead     strict.Duration          `key:"ahead" in:"5s..1m" doc:"the warning before a change starts at most this long before it"`
	Left      []strict.Duration        `key:"left" in:"5s..99m" doc:"how long before a segment's end the time left is called"`
	Count     Count                    `key:"count" doc:"the count to a change"`
	Reminders strict.Duration          `key:"reminders" in:"0s..12h" doc:"a reminder is said where nothing was for this long; 0s for none"`
	Quiet     strict.Duration          `key:"quiet" in:"5s..12h" doc:"a longer silence than this is a gap"`
	Confirm   strict.Choice[confirm]   `key:"confirm" one-of:"changed all none" doc:"what is said first after a change: the numbers that changed, all, none"`
	Unchanged strict.Choice[unchanged] `key:"unchanged" one-of:"when-unsure always never" doc:"whether a number that stays is spoken of: when-unsure, where it changed at the change before"`
	Repeat    strict.Duration          `key:"repeat" in:"0s..12h" doc:"nobody is further than this from hearing the numbers that changed last; 0s for never"`
	SpinUp    strict.Duration          `key:"spin-up" in:"15s..5m" doc:"off the belt: how long before its end one is called back to start the belt"`
}

// Count says how a change is counted.
type Count struct {
	From strict.Integer           `key:"from" in:"1..10" doc:"the first number counted, a second each"`
	With strict.Choice[CountWith] `key:"with" one-of:"beeps words both" doc:"beeps, words or both"`
}

// Click says how the cadence click sounds.
type Click struct {
	When  strict.Choice[ClickWhen] `key:"when" one-of:"cadence never" doc:"cadence: in every segment that has one; never"`
	Feet  strict.Choice[Feet]      `key:"feet" one-of:"alternate alike" doc:"alternate: the other foot's click is lower; alike"`
	Level strict.Tenths            `key:"level" in:"-40..0" doc:"loudness units relative to speech, loudest 400 ms against loudest 400 ms"`
}

// Bed is music under the class.
type Bed struct {
	Pos   problem.Pos
	File  strict.Text   `key:"file,required" doc:"a file of music, relative to the plan"`
	Level strict.Tenths `key:"level" in:"-40..0" doc:"loudness units relative to speech, integrated, while nobody speaks"`
	Duck  strict.Tenths `key:"duck" in:"-40..0" doc:"decibels by which it goes down under speech and the count"`
}

// Track says how the track is made.
type Track struct {
	Rate     strict.Integer         `key:"rate" one-of:"16000 22050 24000 32000 44100 48000 88200 96000" doc:"frames per second"`
	Bits     strict.Integer         `key:"bits" one-of:"16 24" doc:"bits per sample"`
	Channels strict.Integer         `key:"channels" one-of:"1 2" doc:"1, or 2 with the same samples in both"`
	Loudness strict.Tenths          `key:"loudness" in:"-31..-9" doc:"LUFS of the spoken stretches, as heard from two speakers"`
	Peak     strict.Tenths          `key:"peak" in:"-9..0" doc:"the ceiling in dBTP"`
	Presence strict.Tenths          `key:"presence" in:"0..12" doc:"dB by which the upper range of the voice is lifted, for noisy rooms"`
	Silence  strict.Choice[Silence] `key:"silence" one-of:"zero noise" doc:"zero, or noise to keep wireless speakers awake"`
}

// CountWith is how a change is counted.
type CountWith string

// The ways to count.
const (
	Beeps CountWith = "beeps"
	Words CountWith = "words"
	Both  CountWith = "both"
)

// ClickWhen is when the cadence click sounds.
type ClickWhen string

// When the click sounds.
const (
	OnCadence ClickWhen = "cadence"
	Never     ClickWhen = "never"
)

// Feet is how the clicks of the two feet differ.
type Feet string

// The ways of the feet.
const (
	Alternate Feet = "alternate"
	Alike     Feet = "alike"
)

// Silence is what a track holds where nothing sounds.
type Silence string

// The kinds of silence.
const (
	Zero  Silence = "zero"
	Noise Silence = "noise"
)

// Defaults are the settings of a plan that gives none.
func Defaults() (calls Calls, click Click, bed Bed, track Track, advice Advice) {
	calls.Opening.Value = 20 * time.Second
	calls.Closing.Value = 8 * time.Second
	calls.Ahead.Value = 20 * time.Second
	for _, left := range []time.Duration{600, 300, 180, 120, 60, 30, 10} {
		calls.Left = append(calls.Left, strict.Duration{Value: left * time.Second})
	}
	calls.Count.From.Value = 5
	calls.Count.With.Value = Beeps
	calls.Reminders.Value = 25 * time.Second
	calls.Quiet.Value = 90 * time.Second
	calls.Confirm.Value = confirmChanged
	calls.Unchanged.Value = keepUnsure
	calls.Repeat.Value = 3 * time.Minute
	calls.SpinUp.Value = 20 * time.Second
	click.When.Value = OnCadence
	click.Feet.Value = Alternate
	click.Level.Value = -180
	bed.Level.Value = -60
	bed.Duck.Value = -120
	track.Rate.Value = 48000
	track.Bits.Value = 16
	track.Channels.Value = 1
	track.Loudness.Value = -160
	track.Peak.Value = -10
	track.Silence.Value = Zero
	return calls, click, bed, track, defaultAdvice()
}
