package decode

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"time"
	"unicode"
)

// ffmpeg is the program that reads what is not read natively. It is looked up on
// the PATH, never in a voice's folder.
const ffmpeg = "ffmpeg"

// foreignTime is how long ffmpeg may take for one recording, and foreignBytes how
// much it may say: as much as a recording may be long.
var (
	foreignTime  = 30 * time.Second
	foreignBytes = 4*mostSamples + 4096
)

// HasFFmpeg reports whether [Any] has a program for what is not read natively.
func HasFFmpeg() bool {
	_, err := exec.LookPath(ffmpeg)
	return err == nil
}

// Any decodes a whole file as [Bytes] does, and what that leaves as a
// [*ForeignError] with the ffmpeg on the PATH, where there is one that may know
// the kind: with fixed arguments, without a shell or a network, within 30 s and
// only as long as ctx lasts, and no more sound than Bytes would read. name is
// only for the words of errors, which are a ForeignError where ffmpeg was not
// asked. What ffmpeg says of a file that it reads nevertheless becomes a warning.
func Any(ctx context.Context, name string, data []byte) (Clip, error) {
	clip, err := Bytes(name, data)
	var unread *ForeignError
	if !errors.As(err, &unread) || unread.Reader == "" || !HasFFmpeg() {
		return clip, err
	}
	out, said, err := runFFmpeg(ctx, unread.Reader, data)
	if err != nil {
		return Clip{}, fmt.Errorf("%s: ffmpeg cannot read it (%w): convert it to WAV, MP3 or FLAC", name, err)
	}
	clip, err = decodeWAV(out)
	if err != nil {
		return Clip{}, fmt.Errorf("%s: what ffmpeg makes of it is of no use: %w", name, err)
	}
	clip.Warnings = nil // about a WAV file without its length, which a pipe cannot have
	if said != "" {
		clip.warn("cut off or damaged: ffmpeg says %q", said)
	}
	return clip, nil
}

// runFFmpeg returns the first sound of a file as a WAV file of 32-bit floats, and
// the last line that ffmpeg said about it.
func runFFmpeg(ctx context.Context, reader string, data []byte) (wav []byte, line string, err error) {
	// Some kinds must be read from the end first, which a pipe does not allow.
	const file = "recording"
	dir, err := os.MkdirTemp("", "cuewright-")
	if err != nil {
		return nil, "", err
	}
	defer os.RemoveAll(dir)
	if err := os.WriteFile(filepath.Join(dir, file), data, 0o600); err != nil {
		return nil, "", err
	}
	limited, cancel := context.WithTimeout(ctx, foreignTime)
	defer cancel()
	cmd := ffmpegCommand(limited, reader, file, append([]string{"-t", fmt.Sprint(int(MaxLength.Seconds()) + 1)}, asFloats...)...)
	cmd.Dir = dir
	// A program whose output is not taken any more would wait until its time is over.
	out := capped{most: foreignBytes, stop: cancel}
	said := capped{most: 64 << 10, stop: cancel}
	cmd.Stdout, cmd.Stderr = &out, &said
	err = cmd.Run()
	line = LastLine(said.kept.String(), "file:"+file)
	switch {
	case out.over:
		return nil, "", fmt.Errorf("it is longer than %v", MaxLength)
	case ctx.Err() != nil:
		return nil, "", ctx.Err()
	case limited.Err() == context.DeadlineExceeded:
		return nil, "", fmt.Errorf("it took longer than %v", foreignTime)
	case err != nil && strings.Contains(said.kept.String(), noStream):
		return nil, "", errors.New("there is no sound in it")
	case err != nil && line != "":
		return nil, "", errors.New(line)
	case err != nil:
		return nil, "", err
	}
	return out.kept.Bytes(), line, nil
}

// ffmpegCommand reads a file by a named reader, from files alone, and writes what out
// asks for.
func ffmpegCommand(ctx context.Context, reader, file string, out ...string) *exec.Cmd {
	args := []string{"-v", "error", "-nostdin", "-threads", "1", "-protocol_whitelist", "file", "-f", reader, "-i", "file:" + file}
	cmd := exec.CommandContext(ctx, ffmpeg, append(args, out...)...)
	cmd.Env = append(cmd.Environ(), "AV_LOG_FORCE_NOCOLOR=1") // what it says is quoted
	cmd.WaitDelay = time.Second
	return cmd
}

// asFloats asks for the first sound as a WAV file of 32-bit floats on standard output.
var asFloats = []string{"-map", "0:a:0", "-c:a", "pcm_f32le", "-f", "wav", "pipe:1"}

// noStream is what ffmpeg says of a film without sound, before advice on how to
// call it, which is for who calls it and not for the coach.
const noStream = "matches no streams"

// speaker is the part of ffmpeg that a line comes from, which stands at another
// address every time.
var speaker = regexp.MustCompile(`\[[^][]* @ 0x[0-9a-f]+\]`)

// LastLine is the last line a program said in text, without the name of the passing
// file and what would upset a terminal, and not too long.
func LastLine(text, file string) string {
	const most = 160 // characters
	line := ""
	for l := range strings.Lines(text) {
		l = strings.ReplaceAll(speaker.ReplaceAllString(l, ""), file, "")
		l = strings.Map(func(r rune) rune {
			if !unicode.IsPrint(r) {
				return ' '
			}
			return r
		}, l)
		if l = strings.Trim(l, " :"); l != "" && !strings.HasPrefix(l, "Last message repeated") {
			line = l
		}
	}
	if r := []rune(line); len(r) > most {
		line = string(r[:most]) + "…"
	}
	return line
}

// capped keeps so many bytes, and at the next one fails and calls stop. It does
// not embed its buffer, whose ReadFrom would pass by Write.
type capped struct {
	kept bytes.Buffer
	most int
	stop func()
	over bool
}

func (c *capped) Write(p []byte) (int, error) {
	if c.kept.Len()+len(p) > c.most {
		c.over = true
		c.stop()
		return 0, errors.New("too much")
	}
	return c.kept.Write(p)
}
