// Package verify listens to a finished track and measures whether it holds what
// its list of cues promises: every tone, click, call and silence in its place,
// loudness, peaks, markers.
//
// It shares no code with what mixes a track, so that one mistake cannot hide in
// both: what a tone and a click are is written down in audio/listen, and where they
// are due in this package, a second time.
//
// A track is heard block by block, twice: first for the tones, wherever they are,
// which tells a shifted copy or another class from a faulty track; then for
// everything due. Words are not understood: a phrase that lasts as long as the one
// due passes for it.
//
// Music of a plan is not known beforehand: it is measured in the gaps that the other
// sounds leave, for its level, its duck and its fades. Under it no silence is due, the
// edges of calls and the lengths of tones cannot be measured, and tones and clicks only
// where they stand out. Where it stops and starts again within the class is not judged.
package verify
