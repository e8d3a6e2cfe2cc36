package decode

import (
	"context"
	"errors"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// m4aHead passes for an m4a file as far as its first bytes go.
var m4aHead = append([]byte{0, 0, 0, 24}, []byte("ftypM4A \x00\x00\x00\x00M4A mp42isom")...)

// fake makes a shell script the only ffmpeg there is.
func fake(t *testing.T, script string) {
	t.Helper()
	dir := t.TempDir()
	if script != "" {
		if err := os.WriteFile(filepath.Join(dir, ffmpeg), []byte("#!/bin/sh\n"+script), 0o755); err != nil {
			t.Fatal(err)
		}
	}
	t.Setenv("PATH", dir)
}

func TestForeignFailures(t *testing.T) {
	foreignTime = 300 * time.Millisecond
	defer func() { foreignTime = 30 * time.Second }()
	for name, test := range map[string]struct {
		script string
		data   []byte
		want   string
	}{
		"not there":  {"", m4aHead, "x.m4a: needs converting to WAV, MP3 or FLAC, or ffmpeg installed"},
		"hangs":      {"exec /bin/sleep 60", m4aHead, "it took longer than 300ms"},
		"fails":      {"echo 'file:'$*': moov \x1b[31mnot found' >&2; exit 1", m4aHead, "not found): convert it"},
		"says no":    {"exit 1", m4aHead, "exit status 1"},
		"garbage":    {"echo garbage", m4aHead, "what ffmpeg makes of it is no sound"},
		"nothing":    {"exit 0", m4aHead, "what ffmpeg makes of it is no sound"},
		"play list":  {"exit 0", []byte("#EXTM3U\n/etc/passwd\n"), "a file of an unknown kind"},
		"text":       {"exit 0", []byte("ffconcat version 1.0\nfile /etc/passwd\n"), "a file of an unknown kind"},
		"short text": {"exit 0", []byte("x"), "a file of an unknown kind"},
	} {
		t.Run(name, func(t *testing.T) {
			fake(t, test.script)
			start := time.Now()
			_, err := Foreign(t.Context(), "x.m4a", test.data)
			if err == nil || !strings.Contains(err.Error(), test.want) || strings.ContainsAny(err.Error(), "\n\x1b") {
				t.Errorf("%v, want %q", err, test.want)
			}
			if time.Since(start) > 10*time.Second {
				t.Errorf("it took %v", time.Since(start))
			}
		})
	}
}

// TestForeignFlood: a program that never ends is stopped at the length limit.
func TestForeignFlood(t *testing.T) {
	c := capped{most: 100, stop: func() {}}
	for range 5 {
		c.Write(make([]byte, 30))
	}
	if !c.over || c.kept.Len() != 90 {
		t.Errorf("%d bytes kept, over %v", c.kept.Len(), c.over)
	}
	all := foreignBytes
	foreignBytes = 5 << 20
	defer func() { foreignBytes = all }()
	fake(t, "exec /bin/cat /dev/zero")
	ctx, cancel := context.WithTimeout(t.Context(), 20*time.Second)
	defer cancel()
	if _, err := Foreign(ctx, "x.m4a", m4aHead); err == nil || !strings.Contains(err.Error(), "it is longer than 10m0s") {
		t.Error(err)
	}
}

// TestForeignArguments: nothing of the file's name or content reaches the command
// line, and the reader is named.
func TestForeignArguments(t *testing.T) {
	file := filepath.Join(t.TempDir(), "arguments")
	fake(t, "echo \"$@\" > "+file)
	Foreign(t.Context(), "-i /etc/passwd; rm x.m4a", m4aHead)
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	args := string(data)
	if strings.Contains(args, "passwd") || !strings.Contains(args, "-protocol_whitelist file,pipe -f mov -i file:") {
		t.Errorf("arguments %s", args)
	}
}

// TestForeignReal reads what phones and browsers write with the ffmpeg that is
// installed: a tone comes back at its length, pitch and level.
func TestForeignReal(t *testing.T) {
	if !HasFFmpeg() {
		t.Skip("ffmpeg is not installed: the kinds it reads were not tried")
	}
	for _, kind := range []string{"m4a", "ogg", "opus", "webm", "aiff", "caf", "wma"} {
		file := filepath.Join(t.TempDir(), "x."+kind)
		args := []string{"-v", "error", "-f", "lavfi", "-i", "sine=frequency=440:sample_rate=48000:duration=1"}
		if kind == "ogg" {
			args = append(args, "-c:a", "flac")
		}
		if out, err := exec.Command(ffmpeg, append(args, file)...).CombinedOutput(); err != nil {
			t.Logf("%s cannot be made here: %s", kind, out)
			continue
		}
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		var foreign *ForeignError
		if _, err := Bytes(file, data); !errors.As(err, &foreign) {
			t.Errorf("%s: natively %v", kind, err)
		}
		clip, err := Foreign(t.Context(), file, data)
		if err != nil {
			t.Errorf("%s: %v", kind, err)
			continue
		}
		seconds := float64(len(clip.Samples)/clip.Channels) / float64(clip.Rate)
		crossings, squares := 0, 0.0
		for i := clip.Channels; i < len(clip.Samples); i += clip.Channels {
			if clip.Samples[i-clip.Channels] < 0 && clip.Samples[i] >= 0 {
				crossings++
			}
			squares += float64(clip.Samples[i]) * float64(clip.Samples[i])
		}
		rms := math.Sqrt(squares / float64(len(clip.Samples)/clip.Channels))
		// The generator's sine has an amplitude of 1/8.
		if math.Abs(seconds-1) > 0.1 || crossings < 436 || crossings > 446 || math.Abs(20*math.Log10(rms*8*math.Sqrt2)) > 1 {
			t.Errorf("%s: %.3f s, %d periods, rms %.4f", kind, seconds, crossings, rms)
		}
	}
}
