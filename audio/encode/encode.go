// Package encode writes the forms of a track that lose something for the sake of
// size, through the ffmpeg on the PATH.
//
// ffmpeg gets a fixed list of arguments, no shell and no network: the samples by a
// pipe, titles and chapters by a passing file, never as arguments. What a form does
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
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"

	"cuewright/audio"
	"cuewright/audio/decode"
	"cuewright/audio/wav"
)

// Format is what there is to encode.
type Format struct {
	Kind     string // one of Kinds
	Rate     audio.Rate
	Channels int          // 1 or 2
	Bits     int          // 16 or 24
	Frames   int64        // as many as will come
	Markers  []wav.Marker // written as chapters
	Title    string       // if not empty
	Artist   string       // if not empty
}

// kinds are what ffmpeg is told for each form. The bit rates are ample for speech
// and fair for music: common practice.
var kinds = map[string][]string{
	// The older ID3 is read by more players. A fixed rate lets all of them jump to
	// the right place.
	"mp3":  {"-c:a", "libmp3lame", "-b:a", "128k", "-id3v2_version", "3", "-f", "mp3"},
	"m4a":  {"-c:a", "aac", "-b:a", "128k", "-movflags", "+faststart", "-f", "ipod"},
	"opus": {"-c:a", "libopus", "-b:a", "96k", "-f", "opus"},
}

// Kinds are the forms that can be written.
var Kinds = []string{"mp3", "m4a", "opus"}

// Installed reports whether there is a program to write them.
func Installed() bool { return decode.HasFFmpeg() }

// File writes the file at path, which may be there already and is written over.
// samples gives all samples to its writer, as they stand in a WAV file:
// little-endian, interleaved. An error of samples, the end of ctx, and what ffmpeg
// says where it fails come back as an error; the file is then of no use.
func File(ctx context.Context, path string, form Format, samples func(io.Writer) error) error {
	options, ok := kinds[form.Kind]
	if !ok {
		return fmt.Errorf("encode: there is no form %q; there are %s", form.Kind, strings.Join(Kinds, ", "))
	}
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
	if err := os.WriteFile(filepath.Join(dir, chapters), []byte(form.metadata()), 0o600); err != nil {
		return err
	}
	args := []string{"-v", "error", "-nostdin", "-y",
		"-protocol_whitelist", "pipe", "-f", fmt.Sprintf("s%dle", form.Bits), "-ar", fmt.Sprint(form.Rate), "-ac", fmt.Sprint(form.Channels), "-i", "pipe:0",
		"-protocol_whitelist", "file", "-f", "ffmetadata", "-i", "file:" + chapters,
		"-map", "0:a:0", "-map_metadata", "1", "-map_chapters", "1", "-fflags", "+bitexact", "-flags:a", "+bitexact"}
	cmd := exec.CommandContext(ctx, "ffmpeg", append(append(args, options...), "file:"+path)...)
	cmd.Dir = dir
	cmd.Env = append(cmd.Environ(), "AV_LOG_FORCE_NOCOLOR=1") // what it says is quoted
	cmd.WaitDelay = time.Second
	said := &tail{}
	cmd.Stderr = said
	pipe, err := cmd.StdinPipe()
	if err != nil {
		return err
	}
	if err := cmd.Start(); err != nil {
		return fmt.Errorf("ffmpeg does not start: %w", err)
	}
	given := &counter{w: pipe}
	err = samples(given)
	if err != nil && given.err == nil {
		// Not for ffmpeg's sake: it must not finish what is not whole.
		cmd.Process.Kill()
	}
	pipe.Close()
	ended := cmd.Wait()
	switch {
	case ctx.Err() != nil:
		return ctx.Err()
	case err != nil && given.err == nil:
		return err
	case ended != nil || err != nil:
		return failure(said, errors.Join(ended, err))
	}
	if want := form.Frames * int64(form.Channels*form.Bits/8); given.n != want {
		return fmt.Errorf("encode: %d of %d bytes of samples were written", given.n, want)
	}
	return nil
}

// failure is the error of an ffmpeg that stopped.
func failure(said *tail, err error) error {
	if line := decode.LastLine(string(said.kept), ""); line != "" {
		return fmt.Errorf("ffmpeg cannot write it: %s", line)
	}
	return fmt.Errorf("ffmpeg cannot write it: %w", err)
}

// counter counts what a program has taken, and keeps its refusal.
type counter struct {
	w   io.Writer
	n   int64
	err error
}

func (c *counter) Write(p []byte) (int, error) {
	n, err := c.w.Write(p)
	c.n += int64(n)
	c.err = err
	return n, err
}

// tail keeps the end of what a program says.
type tail struct{ kept []byte }

func (t *tail) Write(p []byte) (int, error) {
	const most = 8 << 10
	t.kept = append(t.kept, p...)
	if n := len(t.kept); n > most {
		t.kept = t.kept[n-most:]
	}
	return len(p), nil
}
