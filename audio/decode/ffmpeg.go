package decode

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"
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

// HasFFmpeg reports whether [Foreign] has a program to work with.
func HasFFmpeg() bool {
	_, err := exec.LookPath(ffmpeg)
	return err == nil
}

// demuxers are ffmpeg's readers by the first bytes of a file. The reader is given
// by name and never guessed by ffmpeg: among those it would guess are play lists,
// which open other files.
var demuxers = []struct {
	at          int
	magic, name string
}{
	{4, "ftyp", "mov"}, {0, "OggS", "ogg"}, {0, "\x1aE\xdf\xa3", "matroska"}, {0, "FORM", "aiff"}, {0, "caff", "caf"},
	{0, ".snd", "au"}, {0, "#!AMR", "amr"}, {0, "0&\xb2u\x8ef\xcf\x11", "asf"}, {0, "riff", "w64"},
	{0, "ADIF", "aac"}, {0, "\xff\xf1", "aac"}, {0, "\xff\xf9", "aac"}, {0, "fLaC", "flac"},
}

// demuxer is the name of ffmpeg's reader for a file, nothing for unknown kinds.
func demuxer(data []byte) string {
	if isWAV(data) {
		return "wav"
	}
	body := data[tagsLen(data):]
	for _, d := range demuxers {
		for _, b := range [][]byte{data, body} {
			if len(b) > d.at && bytes.HasPrefix(b[d.at:], []byte(d.magic)) {
				return d.name
			}
		}
	}
	if _, _, ok := findMPEG(body); ok {
		return "mp3"
	}
	return ""
}

// Foreign decodes a file for which [Bytes] gave a [*ForeignError] with the ffmpeg
// on the PATH: with fixed arguments, without a shell or a network, within 30 s,
// and no more sound than Bytes would read. name is only for the words of errors.
// The error says what to do where there is no ffmpeg or it cannot read the file.
func Foreign(ctx context.Context, name string, data []byte) (Clip, error) {
	reader := demuxer(data)
	if reader == "" {
		return Clip{}, &ForeignError{name, "a file of an unknown kind"}
	}
	if !HasFFmpeg() {
		return Clip{}, fmt.Errorf("%s: needs converting to WAV, MP3 or FLAC, or ffmpeg installed", name)
	}
	// Some kinds must be read from the end first, which a pipe does not allow.
	dir, err := os.MkdirTemp("", "cuewright-")
	if err != nil {
		return Clip{}, err
	}
	defer os.RemoveAll(dir)
	file := filepath.Join(dir, "recording")
	if err := os.WriteFile(file, data, 0o600); err != nil {
		return Clip{}, err
	}
	out, err := runFFmpeg(ctx, reader, file)
	if err != nil {
		return Clip{}, fmt.Errorf("%s: ffmpeg cannot read it (%w): convert it to WAV, MP3 or FLAC", name, err)
	}
	clip, err := decodeWAV(out)
	if err != nil {
		return Clip{}, fmt.Errorf("%s: what ffmpeg makes of it is no sound: %w", name, err)
	}
	clip.Warnings = nil // about a WAV file without its length, which a pipe cannot have
	return clip, nil
}

// runFFmpeg returns the first sound of a file as a WAV file of 32-bit floats.
func runFFmpeg(ctx context.Context, reader, file string) ([]byte, error) {
	ctx, cancel := context.WithTimeout(ctx, foreignTime)
	defer cancel()
	cmd := exec.CommandContext(ctx, ffmpeg, "-v", "error", "-nostdin", "-threads", "1",
		"-protocol_whitelist", "file,pipe", "-f", reader, "-i", "file:"+file,
		"-map", "0:a:0", "-t", fmt.Sprint(int(MaxLength.Seconds())+1), "-c:a", "pcm_f32le", "-f", "wav", "pipe:1")
	cmd.WaitDelay = time.Second
	// A program whose output is not taken any more would wait until its time is over.
	out := capped{most: foreignBytes, stop: cancel}
	said := capped{most: 64 << 10, stop: cancel}
	cmd.Stdout, cmd.Stderr = &out, &said
	err := cmd.Run()
	switch {
	case out.over:
		return nil, fmt.Errorf("it is longer than %v", MaxLength)
	case ctx.Err() == context.DeadlineExceeded:
		return nil, fmt.Errorf("it took longer than %v", foreignTime)
	case err != nil:
		if line := lastLine(said.kept.String(), file); line != "" {
			return nil, errors.New(line)
		}
		return nil, err
	}
	return out.kept.Bytes(), nil
}

// lastLine is the last line a program said, without the name of the passing
// file and what would upset a terminal.
func lastLine(text, file string) string {
	lines := strings.Split(strings.TrimSpace(text), "\n")
	line := strings.ReplaceAll(lines[len(lines)-1], "file:"+file, "")
	line = strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f {
			return ' '
		}
		return r
	}, line)
	return strings.Trim(line, " :")
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
