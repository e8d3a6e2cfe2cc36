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

// Marker is a named place in a file.
type Marker struct {
	Frame int64  // the frame it stands before, counted from 0
	Label string // UTF-8; empty where a file gives no label
}

// Info tells what a file holds.
type Info struct {
	Rate     audio.Rate // within [audio.MinRate] and [audio.MaxRate]
	Channels int        // 1 to 8
	Bits     int        // of one sample as it stands in the file: 8, 16, 24, 32 or 64
	Frames   int64      // that are really there
	Markers  []Marker   // in the order of the file
	Title    string     // INAM of LIST INFO
	Artist   string     // IART of LIST INFO
	Warnings []string   // what was wrong with the file and how it was taken
}

// FormatError says that a file is no WAV file, or that it is so damaged that no
// sound can be found in it.
type FormatError string

// Error says what is wrong.
func (e FormatError) Error() string { return string(e) }

// UnsupportedError says that a file is a good WAV file, as far as can be seen, of
// a kind that this package does not read.
type UnsupportedError string

// Error says what is not supported.
func (e UnsupportedError) Error() string { return string(e) }
