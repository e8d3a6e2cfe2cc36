// Package flac writes FLAC files (RFC 9639, Free Lossless Audio Codec, 2024): the
// samples of a WAV file in less space, and the very same after decoding.
//
// The frames are made by github.com/mewkiz/flac. What is done around it: it tells the
// size of a short last block as the smallest of the file, which decoders refuse, itself
// among them; it has no points for a seek table; and it closes what it writes to.
// FLAC is read in the folder below, by other code.
package flac
