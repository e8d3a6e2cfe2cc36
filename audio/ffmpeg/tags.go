package ffmpeg

import (
	"context"
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"strconv"
	"strings"
	"time"
)

// Tags are what a file says of its sound.
type Tags struct {
	Title    string    // "" also where the form has titles of its streams only, as Ogg
	Chapters []Chapter // in the order of the file
}

// A Chapter is a place that a player can jump to.
type Chapter struct {
	Start time.Duration // most forms know milliseconds only
	Title string
}

// ReadTags reads the tags of a file that its named reader knows, as long as ctx lasts.
func ReadTags(ctx context.Context, path, reader string) (*Tags, error) {
	whole, err := filepath.Abs(path) // "file:" with a name that holds a colon is no path
	if err != nil {
		return nil, err
	}
	limited, cancel := context.WithTimeout(ctx, clipTime)
	defer cancel()
	out, said := output{max: maxTags, stop: cancel}, output{max: 64 << 10, stop: cancel}
	// Without -copyts times count from the first sound, which in an MP3 file comes later.
	cmd := command(limited, reader, whole, "-copyts", "-f", "ffmetadata", "pipe:1")
	cmd.Stdout, cmd.Stderr = &out, &said
	switch err := cmd.Run(); {
	case out.over:
		return nil, fmt.Errorf("%s: more than %d bytes of tags", path, maxTags)
	case ctx.Err() != nil:
		return nil, ctx.Err()
	case limited.Err() == context.DeadlineExceeded:
		return nil, fmt.Errorf("%s: ffmpeg took longer than %v to read its tags", path, clipTime)
	case err != nil:
		if line := LastLine(said.kept.String(), "file:"); line != "" {
			err = errors.New(line)
		}
		return nil, fmt.Errorf("%s: ffmpeg cannot read its tags (%w)", path, err)
	}
	return parseTags(out.kept.String()), nil
}

// maxTags is how many bytes of tags are read.
const maxTags = 4 << 20

// parseTags reads ffmpeg's own form of tags (FFmpeg Formats Documentation,
// "Metadata"): a line for each pair of key and value, and a section for each chapter.
// What it does not know it passes over.
func parseTags(text string) *Tags {
	var t Tags
	section, unit := "", 1.0 // of times, in seconds
	for len(text) > 0 {
		key, value, isPair, rest := nextTag(text)
		text = rest
		in := len(t.Chapters) - 1
		switch {
		case !isPair && strings.HasPrefix(key, "["):
			if section, unit = key, 1; section == "[CHAPTER]" {
				t.Chapters = append(t.Chapters, Chapter{})
			}
		case section == "" && strings.EqualFold(key, "title"): // TITLE in FLAC
			t.Title = value
		case section != "[CHAPTER]":
		case key == "title":
			t.Chapters[in].Title = value
		case key == "TIMEBASE":
			over, under, _ := strings.Cut(value, "/")
			a, _ := strconv.ParseFloat(over, 64)
			if b, err := strconv.ParseFloat(under, 64); err == nil && b > 0 {
				unit = a / b
			}
		case key == "START":
			const most = 1 << 62 // ns: what is beyond, or no number, is no time
			start, _ := strconv.ParseFloat(value, 64)
			if ns := math.Round(start * unit * 1e9); ns >= 0 && ns < most {
				t.Chapters[in].Start = time.Duration(ns)
			}
		}
	}
	return &t
}

// nextTag takes the first pair off text, or a line that is none, which is all key. A
// backslash makes a part of key or value of what would end it.
func nextTag(text string) (key, value string, isPair bool, rest string) {
	var parts [2]strings.Builder
	part := &parts[0]
	for i := 0; i < len(text); i++ {
		switch c := text[i]; {
		case c == '\\' && i+1 < len(text):
			i++
			part.WriteByte(text[i])
		case c == '=' && part == &parts[0]:
			part, isPair = &parts[1], true
		case c == '\n':
			return parts[0].String(), parts[1].String(), isPair, text[i+1:]
		default:
			part.WriteByte(c)
		}
	}
	return parts[0].String(), parts[1].String(), isPair, ""
}
