package ffmpeg

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

// streamTime is how long ffmpeg may take for a long recording: it decodes an
// hour in seconds.
const streamTime = 30 * time.Minute

// A Stream is what ffmpeg makes of a file, while it makes it.
type Stream struct {
	Rate     audio.Rate
	Channels int // 1 to 8

	path   string
	cmd    *exec.Cmd
	out    *bufio.Reader
	said   output
	cancel context.CancelFunc
	ended  bool
}

// Open starts an ffmpeg on a file that its named reader knows.
func Open(ctx context.Context, path, reader string) (*Stream, error) {
	whole, err := filepath.Abs(path) // "file:" with a name that holds a colon is no path
	if err != nil {
		return nil, err
	}
	ctx, cancel := context.WithTimeout(ctx, streamTime)
	f := &Stream{path: path, cmd: command(ctx, reader, whole, asFloats...), cancel: cancel}
	f.said = output{max: 64 << 10, stop: cancel}
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
	if f.Rate, f.Channels, err = readPipeHead(f.out); err != nil {
		return nil, f.fault(err)
	}
	return f, nil
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
		const largest = 1 << 20
		size := le.Uint32(chunk[4:])
		if size > largest {
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

// Next appends the samples of what comes next, interleaved, to out; io.EOF ends the sound.
func (f *Stream) Next(out []float32) ([]float32, error) {
	if f.ended {
		return out, io.EOF
	}
	raw := make([]byte, 32<<10)
	n, err := io.ReadFull(f.out, raw)
	for b := raw[:n]; len(b) >= 4; b = b[4:] {
		v := math.Float32frombits(binary.LittleEndian.Uint32(b))
		if w := float64(v); math.IsNaN(w) || math.IsInf(w, 0) {
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
func (f *Stream) fault(err error) error {
	f.Close()
	if line := LastLine(f.said.kept.String(), "file:"); line != "" {
		err = errors.New(line)
	}
	if strings.Contains(f.said.kept.String(), noStream) {
		err = errors.New("there is no sound in it")
	}
	return fmt.Errorf("%s: ffmpeg cannot read it (%w): convert it to WAV, MP3 or FLAC", f.path, err)
}

// Close ends the reading.
func (f *Stream) Close() error {
	f.cancel()
	if f.cmd.ProcessState == nil {
		f.cmd.Wait() // it was told to end: that it did not end well is no news
	}
	return nil
}
