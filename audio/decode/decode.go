// Package decode turns recordings into samples: WAV, MP3 and FLAC, told apart by
// what is in them and not by their names.
//
// A recording may be damaged, cut off or made to do harm. Nothing here panics on
// it, takes more memory than its own bytes and a short clip justify, or leaves a
// fault unsaid: what could be read comes with warnings, what could not is an
// error.
package decode

import (
	"bytes"
	"errors"
	"fmt"
	"time"

	"cuewright/audio"
	"cuewright/audio/wav"
)

// MaxLength is the longest recording that is read. A phrase lasts seconds; a
// whole hour by mistake should not fill the memory.
const MaxLength = 10 * time.Minute

// mostSamples of all channels is the same limit in memory: 10 minutes of stereo
// at 48 kHz are 57.6 million samples, 230 MB.
const mostSamples = 60_000_000

// Clip is a decoded recording.
type Clip struct {
	Rate     audio.Rate // within [audio.MinRate] and [audio.MaxRate]
	Channels int        // 1 to 8
	Samples  []float32  // interleaved, linear, full scale at ±1
	Warnings []string   // what was wrong with the file and how it was taken
}

// ForeignError says that a file is of a kind that is not read here. Another
// program may know it.
type ForeignError struct {
	Name string // of the file
	What string // it seems to be
	// Reader is ffmpeg's name for what reads such a file, "" where nothing is known to.
	Reader string
}

// Error says what the file is and what to do.
func (e *ForeignError) Error() string {
	advice := "convert it to plain WAV"
	if e.Reader != "" {
		advice = Advice
	}
	return e.Name + ": " + e.What + " is not readable natively: " + advice
}

// Advice is what to do about a recording that only ffmpeg reads where there is none.
const Advice = "convert it to WAV, MP3 or FLAC, or install ffmpeg"

// foreign is a ForeignError before the name of the file is known.
type foreign string

func (e foreign) Error() string { return string(e) }

// Bytes decodes a whole file; name is only for the words of errors. The error is
// a [*ForeignError] if the file may be good but is none of WAV, MP3 (MPEG-1 and
// MPEG-2 layer III) and FLAC, or of a kind of these that is not read; any other
// error means that the file is damaged or longer than [MaxLength].
func Bytes(name string, data []byte) (Clip, error) {
	clip, err := decode(data)
	if err == nil {
		err = checkSize(int64(len(clip.Samples)/clip.Channels), clip.Channels, clip.Rate)
	}
	var unread foreign
	var unsupported wav.UnsupportedError
	switch {
	case err == nil:
		return clip, nil
	case errors.As(err, &unread):
		return Clip{}, &ForeignError{name, string(unread), readerFor(data)}
	case errors.As(err, &unsupported):
		return Clip{}, &ForeignError{name, string(unsupported), readerFor(data)}
	}
	return Clip{}, fmt.Errorf("%s: %w", name, err)
}

func decode(data []byte) (Clip, error) {
	if len(data) == 0 {
		return Clip{}, errors.New("the file is empty")
	}
	body := data[tagsLen(data):]
	switch {
	case isWAV(data):
		return decodeWAV(data)
	case isFLAC(body):
		return decodeFLAC(body)
	}
	if k := kindOf(data); k.name != "" {
		return Clip{}, foreign(k.name)
	}
	if start, first, ok := findMPEG(body); ok {
		return decodeMPEG(body[start:], first)
	}
	if len(body) < len(data) {
		return Clip{}, errors.New("there is a tag for an MP3 file, but no sound behind it")
	}
	return Clip{}, foreign("a file of an unknown kind")
}

// checkSize refuses what is too long or of a rate that nobody records voices at.
func checkSize(frames int64, channels int, rate audio.Rate) error {
	if rate < audio.MinRate || rate > audio.MaxRate {
		return fmt.Errorf("%d frames a second (%d to %d can be used)", rate, audio.MinRate, audio.MaxRate)
	}
	if frames > rate.Frame(MaxLength) || frames*int64(channels) > mostSamples {
		return fmt.Errorf("longer than %v: a recording is one phrase", MaxLength)
	}
	return nil
}

func decodeWAV(data []byte) (Clip, error) {
	file, size := bytes.NewReader(data), int64(len(data))
	r, err := wav.NewReader(file, size)
	if err != nil {
		return Clip{}, err
	}
	if err := checkSize(r.Info.Frames, r.Info.Channels, r.Info.Rate); err != nil {
		return Clip{}, err
	}
	samples, info, err := wav.Read(file, size)
	return Clip{info.Rate, info.Channels, samples, info.Warnings}, err
}

func (c *Clip) warn(format string, args ...any) {
	c.Warnings = append(c.Warnings, fmt.Sprintf(format, args...))
}

// length is how long the clip is, for the words of warnings.
func (c *Clip) length() time.Duration {
	return c.Rate.Length(int64(len(c.Samples) / c.Channels)).Round(time.Millisecond)
}
