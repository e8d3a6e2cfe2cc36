// Package encode writes the forms of a track that lose something for the sake of
// size, through the ffmpeg on the PATH.
//
// ffmpeg gets a fixed list of arguments, no shell and no network: the samples by a
// pipe, titles and chapters by a temporary file, never as arguments. What a form does
// to the timing, decoded by a program that follows its standard (measured with
// ffmpeg 5.1):
//
//   - mp3: nothing; the file tells how much the encoder put in front. A player that
//     does not read that plays 1105 frames late, 23 ms at 48 kHz.
//   - m4a: nothing; the file tells. A player that does not read it is 1024 frames
//     late, 21 ms at 48 kHz.
//   - opus: nothing, and no player may do otherwise (RFC 7845 section 4.2). It is
//     always of 48 kHz: other rates are resampled.
package encode

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"cuewright/audio"
	"cuewright/audio/ffmpeg"
)

// forms are what can be written, and what ffmpeg is told for each. The bit rates are ample for speech
// and fair for music: common practice.
var forms = []struct {
	name    string
	options []string
}{
	// The older ID3 is read by more players. A fixed rate lets all of them jump to
	// the right place.
	{"mp3", []string{"-c:a", "libmp3lame", "-b:a", "128k", "-id3v2_version", "3", "-f", "mp3"}},
	{"m4a", []string{"-c:a", "aac", "-b:a", "128k", "-movflags", "+faststart", "-f", "ipod"}},
	{"opus", []string{"-c:a", "libopus", "-b:a", "96k", "-f", "opus"}},
}

// Kinds are the forms that can be written, in the order in which they are listed.
func Kinds() []string {
	var names []string
	for _, f := range forms {
		names = append(names, f.name)
	}
	return names
}

// Installed reports whether there is a program to write them.
func Installed() bool { return ffmpeg.Installed() }

// File writes a file of one of the kinds at path, which may be there already and is written over.
// samples gives all samples to its writer, as they stand in a WAV file:
// little-endian, interleaved. An error of samples, the end of ctx, and what ffmpeg
// says where it fails come back as an error; the file is then of no use.
func File(ctx context.Context, path, kind string, form audio.FileInfo, samples func(io.Writer) error) error {
	k := slices.Index(Kinds(), kind)
	if k < 0 {
		return fmt.Errorf("encode: there is no form %q; there are %s", kind, strings.Join(Kinds(), ", "))
	}
	options := forms[k].options
	path, err := filepath.Abs(path)
	if err != nil {
		return err
	}
	dir, err := os.MkdirTemp("", "cuewright-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	const chapters = "chapters"
	if err := os.WriteFile(filepath.Join(dir, chapters), []byte(metadata(form)), 0o600); err != nil {
		return err
	}
	args := []string{"-v", "error", "-nostdin", "-y",
		"-protocol_whitelist", "pipe", "-f", fmt.Sprintf("s%dle", form.Bits), "-ar", fmt.Sprint(form.Rate), "-ac", fmt.Sprint(form.Channels), "-i", "pipe:0",
		"-protocol_whitelist", "file", "-f", "ffmetadata", "-i", "file:" + chapters,
		"-map", "0:a:0", "-map_metadata", "1", "-map_chapters", "1", "-fflags", "+bitexact", "-flags:a", "+bitexact"}
	n, err := ffmpeg.Encode(ctx, dir, append(append(args, options...), "file:"+path), samples)
	if err != nil {
		return err
	}
	if want := form.Frames * int64(form.Channels*form.Bits/8); n != want {
		return fmt.Errorf("encode: %d of %d bytes of samples were written", n, want)
	}
	return nil
}
