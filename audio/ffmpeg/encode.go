package ffmpeg

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os/exec"
	"time"
)

// Encode runs ffmpeg in a folder with these arguments, which make it read samples from
// standard input, and tells how many bytes it has taken. An error of samples, the end of
// ctx, and what ffmpeg says where it fails come back as an error.
func Encode(ctx context.Context, dir string, args []string, samples func(io.Writer) error) (taken int64, err error) {
	cmd := exec.CommandContext(ctx, program, args...)
	cmd.Dir = dir
	cmd.Env = append(cmd.Environ(), "AV_LOG_FORCE_NOCOLOR=1") // what it says is quoted
	cmd.WaitDelay = time.Second
	said := &output{max: 8 << 10}
	cmd.Stderr = said
	pipe, err := cmd.StdinPipe()
	if err != nil {
		return 0, err
	}
	if err := cmd.Start(); err != nil {
		return 0, fmt.Errorf("ffmpeg does not start: %w", err)
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
		return given.n, ctx.Err()
	case err != nil && given.err == nil:
		return given.n, err
	case ended != nil || err != nil:
		err = errors.Join(ended, err)
		if line := LastLine(said.kept.String(), ""); line != "" {
			err = errors.New(line)
		}
		return given.n, fmt.Errorf("ffmpeg cannot write it: %w", err)
	}
	return given.n, nil
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
