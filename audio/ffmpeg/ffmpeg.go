// Package ffmpeg starts the ffmpeg on the PATH, and is the only room that does: to read
// what is not read natively, to read tags, and to write the forms that lose something for
// the sake of size. It gets fixed arguments, the name of its own reader, no shell and no
// network, and only as much time and room as a recording may take.
package ffmpeg

import (
	"bytes"
	"context"
	"cuewright/audio"
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

// program is looked up on the PATH, never in a voice's folder.
const program = "ffmpeg"

// clipTime is how long ffmpeg may take for one recording, and clipBytes how
// much it may say: as much as a recording may be long.
var (
	clipTime  = 30 * time.Second
	clipBytes = 4*audio.MaxClipSamples + 4096
)

// Installed reports whether there is a program to start.
func Installed() bool {
	_, err := exec.LookPath(program)
	return err == nil
}

// Decode returns the first sound of a file as a WAV file of 32-bit floats, and
// the last line that ffmpeg said about it.
func Decode(ctx context.Context, reader string, data []byte) (wav []byte, line string, err error) {
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
	limited, cancel := context.WithTimeout(ctx, clipTime)
	defer cancel()
	cmd := command(limited, reader, file, append([]string{"-t", fmt.Sprint(int(audio.MaxClipLength.Seconds()) + 1)}, asFloats...)...)
	cmd.Dir = dir
	// A program whose output is not taken any more would wait until its time is over.
	out := output{max: clipBytes, stop: cancel}
	said := output{max: 64 << 10, stop: cancel}
	cmd.Stdout, cmd.Stderr = &out, &said
	err = cmd.Run()
	line = LastLine(said.kept.String(), "file:"+file)
	switch {
	case out.over:
		return nil, "", fmt.Errorf("it is longer than %v", audio.MaxClipLength)
	case ctx.Err() != nil:
		return nil, "", ctx.Err()
	case limited.Err() == context.DeadlineExceeded:
		return nil, "", fmt.Errorf("it took longer than %v", clipTime)
	case err != nil && strings.Contains(said.kept.String(), noStream):
		return nil, "", errors.New("there is no sound in it")
	case err != nil && line != "":
		return nil, "", errors.New(line)
	case err != nil:
		return nil, "", err
	}
	return out.kept.Bytes(), line, nil
}

// command reads a file by a named reader, from files alone, and writes what out
// asks for.
func command(ctx context.Context, reader, file string, out ...string) *exec.Cmd {
	args := []string{"-v", "error", "-nostdin", "-threads", "1", "-protocol_whitelist", "file", "-f", reader, "-i", "file:" + file}
	cmd := exec.CommandContext(ctx, program, append(args, out...)...)
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

// LastLine is the last line a program said in text, without the name of the temporary
// file and what would upset a terminal, and not too long.
func LastLine(text, file string) string {
	const longest = 160 // characters
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
	if r := []rune(line); len(r) > longest {
		line = string(r[:longest]) + "…"
	}
	return line
}

// output keeps what the program says: so many bytes, of which one more fails and calls
// stop, or without stop the last of them. It does not embed its buffer, whose ReadFrom
// would pass by Write.
type output struct {
	kept bytes.Buffer
	max  int
	stop func()
	over bool
}

func (o *output) Write(p []byte) (int, error) {
	if o.kept.Len()+len(p) <= o.max {
		return o.kept.Write(p)
	}
	if o.stop == nil {
		o.kept.Write(p)
		o.kept.Next(o.kept.Len() - o.max)
		return len(p), nil
	}
	o.over = true
	o.stop()
	return 0, errors.New("too much")
}
