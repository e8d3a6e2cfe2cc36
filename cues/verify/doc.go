// Package verify listens to a finished track and measures whether it holds what
// its list of cues promises: every tone, click, call and silence in its place,
// loudness, peaks, markers.
//
// It shares no code with what mixes a track, so that one mistake cannot hide in
// both: what a tone and a click are, and where they are due, is written down here
// a second time. A due sound is searched by least squares: the place, near the due
// one, from which the known sound explains most of what is heard.
//
// A track is heard block by block, twice: first for the tones, wherever they are,
// which tells a shifted copy or another class from a faulty track; then for
// everything due. Words are not understood: a phrase that lasts as long as the one
// due passes for it.
package verify
