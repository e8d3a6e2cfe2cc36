// Package faults listens to recordings as a sound engineer would: is the word
// all there, is anything else on it. [Judge] takes one recording, before anything is cut
// or mended; what only several tell together is found in audio/review.
//
// A fault comes with the figure measured and the limit it passed. It is an
// [Error] where it would be heard in a class, and a [Warning] where loading the
// recording mends it, or where it only could be better. Figures called 'measured
// for this project' were set on 400 good recordings and 150 of each fault, from
// mild to strong, of people and of computer voices.
package faults
