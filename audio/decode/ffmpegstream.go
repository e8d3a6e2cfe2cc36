package decode

import (
	"bufio"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"os/exec"
	"path/filepath"
	"strings"
	"time"

	"cuewright/audio"
)

// foreignStreamTime is how long ffmpeg may take for a long recording: it decodes an
// hour in seconds.
const foreignStreamTime = 30 * time.Minute

// A foreignStream is what ffmpeg makes of a file, while it makes it.
type foreignStream struct {
	path   string
	cmd    *exec.Cmd
	out    *bufio.Reader
	said   capped
	cancel context.CancelFunc
	ended  bool
}

// openForeign starts an ffmpeg on a file that its named reader knows.
func openForeign(ctx context.Context, path, reader string) (*Stream, error) {
	whole, err := filepath.Abs(path) // "file:" with a name that holds a colon is no path
	if err != nil {
		return nil, err
	}
	ctx, cancel := context.WithTimeout(ctx, foreignStreamTime)
	f := &foreignStream{path: path, cmd: ffmpegCommand(ctx, reader, whole, asFloats...), cancel: cancel}
	f.said = capped{most: 64 << 10, stop: cancel}
	f.cmd.Stderr = &f.said
	pipe, err := f.cmd.StdoutPipe()
	if err == nil {
		err = f.cmd.Start()
	}
	if err != nil {
		cancel()
		return nil, err
	}
	f.out = bufio.NewReaderSize(pipe, 64<<10)
	s := &Stream{source: f, close: f.end}
	if s.Rate, s.Channels, err = readPipeHead(f.out); err != nil {
		return nil, f.fault(err)
	}
	return s, nil
}

// readPipeHead reads the head of a WAV file of 32-bit floats, up to the samples, as
// ffmpeg writes it.
func readPipeHead(r io.Reader) (rate audio.Rate, channels int, err error) {
	le := binary.LittleEndian
	head := make([]byte, 12)
	if _, err := io.ReadFull(r, head); err != nil {
		return 0, 0, err
	}
	for {
		chunk := make([]byte, 8)
		if _, err := io.ReadFull(r, chunk); err != nil {
			return 0, 0, err
		}
		if string(chunk[:4]) == "data" {
			if channels < 1 || channels > 8 {
				return 0, 0, fmt.Errorf("%d channels (1 to 8 can be used)", channels)
			}
			return rate, channels, nil
		}
		const most = 1 << 20
		size := le.Uint32(chunk[4:])
		if size > most {
			return 0, 0, errors.New("what ffmpeg makes of it is no WAV file")
		}
		body := make([]byte, size+size%2)
		if _, err := io.ReadFull(r, body); err != nil {
			return 0, 0, err
		}
		if string(chunk[:4]) == "fmt " && len(body) >= 16 {
			channels, rate = int(le.Uint16(body[2:])), audio.Rate(le.Uint32(body[4:]))
		}
	}
}

func (f *foreignStream) next(out []float32) ([]float32, error) {
	if f.ended {
		return out, io.EOF
	}
	raw := make([]byte, 32<<10)
	n, err := io.ReadFull(f.out, raw)
	for b := raw[:n]; len(b) >= 4; b = b[4:] {
		v := math.Float32frombits(binary.LittleEndian.Uint32(b))
		if v-v != 0 {
			v = 0
		}
		out = append(out, v)
	}
	switch {
	case err == nil:
		return out, nil
	case err == io.EOF || err == io.ErrUnexpectedEOF:
		f.ended = true
		if err := f.cmd.Wait(); err != nil {
			return out, f.fault(err)
		}
		return out, io.EOF
	}
	return out, f.fault(err)
}

// fault ends ffmpeg and says why it cannot read the file, in its own words if any.
func (f *foreignStream) fault(err error) error {
	f.end()
	if line := LastLine(f.said.kept.String(), "file:"); line != "" {
		err = errors.New(line)
	}
	if strings.Contains(f.said.kept.String(), noStream) {
		err = errors.New("there is no sound in it")
	}
	return fmt.Errorf("%s: ffmpeg cannot read it (%w): convert it to WAV, MP3 or FLAC", f.path, err)
}

func (f *foreignStream) end() error {
	f.cancel()
	if f.cmd.ProcessState == nil {
		f.cmd.Wait() // it was told to end: that it did not end well is no news
	}
	return nil
}
