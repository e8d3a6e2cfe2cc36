// Package decode turns recordings into samples: WAV, MP3 and FLAC, told apart by
// what is in them and not by their names.
//
// A recording may be damaged, cut off or made to do harm. Nothing here panics on
// it, takes more memory than its own bytes and a short clip justify, or leaves a
// fault unsaid: what could be read comes with warnings, what could not is an
// error.
package decode

import (
	"context"
	"errors"
	"fmt"
	"os"

	"cuewright/audio"
	"cuewright/audio/ffmpeg"
	"cuewright/audio/flac/flacread"
	"cuewright/audio/mp3"
	"cuewright/audio/wav"
)

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

// Bytes decodes a whole file; name is only for the words of errors. The error is
// a [*ForeignError] if the file may be good but is none of WAV, MP3 (MPEG-1 and
// MPEG-2 layer III) and FLAC, or of a kind of these that is not read; any other
// error means that the file is damaged or longer than [audio.MaxClipLength].
func Bytes(name string, data []byte) (audio.Clip, error) {
	clip, err := decode(data)
	if err == nil {
		err = audio.CheckClip(clip.Rate, clip.Channels, clip.Frames())
	}
	var unsupported audio.UnsupportedError
	switch {
	case err == nil:
		return clip, nil
	case errors.As(err, &unsupported):
		return audio.Clip{}, &ForeignError{name, string(unsupported), readerFor(data)}
	}
	return audio.Clip{}, fmt.Errorf("%s: %w", name, err)
}

func decode(data []byte) (audio.Clip, error) {
	if len(data) == 0 {
		return audio.Clip{}, errors.New("the file is empty")
	}
	body := data[mp3.TagsLen(data):]
	switch {
	case isWAV(data):
		return wav.Decode(data)
	case isFLAC(body):
		return flacread.Decode(body)
	}
	if k := kindOf(data); k.name != "" {
		return audio.Clip{}, audio.UnsupportedError(k.name)
	}
	if start, ok := mp3.Find(body); ok {
		return mp3.Decode(body[start:])
	}
	if len(body) < len(data) {
		return audio.Clip{}, errors.New("there is a tag for an MP3 file, but no sound behind it")
	}
	return audio.Clip{}, audio.UnsupportedError("a file of an unknown kind")
}

// Any decodes a whole file as [Bytes] does, and what that leaves as a
// [*ForeignError] with the ffmpeg on the PATH, where there is one that may know
// the kind: with fixed arguments, without a shell or a network, within 30 s and
// only as long as ctx lasts, and no more sound than Bytes would read. name is
// only for the words of errors, which are a ForeignError where ffmpeg was not
// asked. What ffmpeg says of a file that it reads nevertheless becomes a warning.
func Any(ctx context.Context, name string, data []byte) (audio.Clip, error) {
	clip, err := Bytes(name, data)
	var unread *ForeignError
	if !errors.As(err, &unread) || unread.Reader == "" || !ffmpeg.Installed() {
		return clip, err
	}
	out, said, err := ffmpeg.Decode(ctx, unread.Reader, data)
	if err != nil {
		return audio.Clip{}, fmt.Errorf("%s: ffmpeg cannot read it (%w): convert it to WAV, MP3 or FLAC", name, err)
	}
	clip, err = wav.Decode(out)
	if err != nil {
		return audio.Clip{}, fmt.Errorf("%s: what ffmpeg makes of it is of no use: %w", name, err)
	}
	clip.Warnings = nil // about a WAV file without its length, which a pipe cannot have
	if said != "" {
		clip.Warn("cut off or damaged: ffmpeg says %q", said)
	}
	return clip, nil
}

// ReadTags reads the tags of a file of any kind that the ffmpeg on the PATH knows, as
// long as ctx lasts. Without ffmpeg there is an error.
func ReadTags(ctx context.Context, path string) (*ffmpeg.Tags, error) {
	file, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	info, err := file.Stat()
	if err != nil {
		return nil, err
	}
	_, head, err := beginning(file, info.Size())
	if err != nil {
		return nil, err
	}
	reader := readerFor(head)
	if reader == "" {
		return nil, fmt.Errorf("%s: a file of an unknown kind", path)
	}
	return ffmpeg.ReadTags(ctx, path, reader)
}
