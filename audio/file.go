package audio

import (
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"
)

// Marker is a named place in a file.
type Marker struct {
	Frame int64  // the frame it stands before, counted from 0
	Label string // UTF-8; empty where a file gives no label
}

// FileInfo describes a sound file: one that was read, or one that is to be written.
type FileInfo struct {
	Rate     Rate
	Channels int
	Bits     int      // of one sample as it stands in the file
	Frames   int64    // that are really there, or exactly as many as will be written
	Markers  []Marker // in the order of the file
	Title    string   // "" for none
	Artist   string   // "" for none
}

// FrameBytes is the number of bytes of one frame, on all channels.
func (f *FileInfo) FrameBytes() int { return f.Channels * f.Bits / 8 }

// Check returns an error for what no file is written with: another number of
// channels than 1 or 2, other bits than 16 or 24, a rate or a number of frames
// beyond the two maxima of the format, markers outside the sound, and texts that
// could not be read again as they were written.
func (f *FileInfo) Check(maxRate Rate, maxFrames int64) error {
	switch {
	case f.Rate <= 0 || f.Rate > maxRate:
		return fmt.Errorf("cannot write %d frames a second", f.Rate)
	case f.Channels != 1 && f.Channels != 2:
		return fmt.Errorf("cannot write %d channels, only 1 or 2", f.Channels)
	case f.Bits != 16 && f.Bits != 24:
		return fmt.Errorf("cannot write %d bits, only 16 or 24", f.Bits)
	case f.Frames < 0 || f.Frames > maxFrames:
		return fmt.Errorf("cannot write %d frames", f.Frames)
	}
	for _, m := range f.Markers {
		if m.Frame < 0 || m.Frame > f.Frames {
			return fmt.Errorf("marker %q at frame %d is outside the track of %d frames", m.Label, m.Frame, f.Frames)
		}
		if err := CheckText(m.Label); err != nil {
			return err
		}
	}
	return errors.Join(CheckText(f.Title), CheckText(f.Artist))
}

// CheckText returns an error for a text that no sound file can hold.
func CheckText(text string) error {
	if !utf8.ValidString(text) || strings.ContainsRune(text, 0) {
		return fmt.Errorf("cannot write the text %q: it is not UTF-8 or holds a zero", text)
	}
	return nil
}

// UnsupportedError says that a file is a good one, as far as can be seen, of a kind
// that is not read here: what it is, without the file's name. Another program may
// know it.
type UnsupportedError string

// Error says what the file is.
func (e UnsupportedError) Error() string { return string(e) }
