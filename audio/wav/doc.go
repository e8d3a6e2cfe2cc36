// Package wav reads and writes WAV files: RIFF files of form WAVE.
//
// A file is a 12-byte head ("RIFF", a size, "WAVE") and chunks: a name of four
// letters, a size, that many bytes, and a zero byte if the size is odd. The chunk
// "fmt " tells what the samples are, "data" holds them, "cue " and "LIST adtl"
// hold markers and their labels, "LIST INFO" holds title and artist. They may
// stand in any order. The layout is that of Microsoft's and IBM's Multimedia
// Programming Interface and Data Specifications 1.0 (1991), with the extensible
// format of 1999.
//
// The reader believes no size before it has seen the bytes: damaged files and
// files written to a pipe, with sizes of 0 or 4 GiB, give what they hold and a
// warning. The writer knows the length beforehand and leaves no wrong size.
package wav

import "cuewright/audio"

// Info tells what a file holds: 1 to 8 channels of 8, 16, 24, 32 or 64 bits, at a
// rate within [audio.MinRate] and [audio.MaxRate]; title and artist are INAM and IART
// of LIST INFO.
type Info struct {
	audio.FileInfo
	Warnings []string // what was wrong with the file and how it was taken
}

// FormatError says that a file is no WAV file, or that it is so damaged that no
// sound can be found in it.
type FormatError string

// Error says what is wrong.
func (e FormatError) Error() string { return string(e) }
