package ffmpeg_test

import (
	"context"
	"cuewright/audio/decode"
	"cuewright/audio/ffmpeg"
	"errors"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
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
		if err := os.WriteFile(filepath.Join(dir, "ffmpeg"), []byte("#!/bin/sh\n"+script), 0o755); err != nil {
			t.Fatal(err)
		}
	}
	t.Setenv("PATH", dir)
}

func TestForeignFailures(t *testing.T) {
	defer func(was time.Duration) { *ffmpeg.ClipTime = was }(*ffmpeg.ClipTime)
	for name, test := range map[string]struct {
		script string
		data   []byte
		want   string
	}{
		"not there":  {"", m4aHead, "x.m4a: an MPEG-4 file (m4a) is not readable natively: convert it to WAV, MP3 or FLAC, or install ffmpeg"},
		"hangs":      {"exec /bin/sleep 60", m4aHead, "it took longer than 300ms"},
		"fails":      {"echo 'file:'$*': moov \x1b[31m\u009bnot found' >&2; exit 1", m4aHead, "not found): convert it"},
		"says no":    {"exit 1", m4aHead, "exit status 1"},
		"garbage":    {"echo garbage", m4aHead, "what ffmpeg makes of it is of no use"},
		"long line":  {"/usr/bin/printf '%02000d' 7 >&2; exit 1", m4aHead, "(" + strings.Repeat("0", 160) + "…)"},
		"talks":      {"exec /usr/bin/yes >&2", m4aHead, "(y)"},
		"no colours": {"echo colours $AV_LOG_FORCE_NOCOLOR >&2; exit 1", m4aHead, "(colours 1)"},
		"no sound":   {"echo \"Stream map '0:a:0' matches no streams.\" >&2; echo advice >&2; exit 1", m4aHead, "(there is no sound in it)"},
		"nothing":    {"exit 0", m4aHead, "what ffmpeg makes of it is of no use"},
		"play list":  {"exit 0", []byte("#EXTM3U\n/etc/passwd\n"), "a file of an unknown kind"},
		"text":       {"exit 0", []byte("ffconcat version 1.0\nfile /etc/passwd\n"), "a file of an unknown kind"},
		"short text": {"exit 0", []byte("x"), "a file of an unknown kind"},
	} {
		t.Run(name, func(t *testing.T) {
			fake(t, test.script)
			passing := t.TempDir()
			t.Setenv("TMPDIR", passing)
			*ffmpeg.ClipTime = 20 * time.Second // more than a busy machine needs to start a shell
			if name == "hangs" {
				*ffmpeg.ClipTime = 300 * time.Millisecond
			}
			start := time.Now()
			_, err := decode.Any(t.Context(), "x.m4a", test.data)
			if err == nil || !strings.Contains(err.Error(), test.want) || strings.ContainsAny(err.Error(), "\n\x1b\u009b") {
				t.Errorf("%v, want %q", err, test.want)
			}
			if time.Since(start) > 10*time.Second {
				t.Errorf("it took %v", time.Since(start))
			}
			if left, err := os.ReadDir(passing); err != nil || len(left) > 0 {
				t.Errorf("left behind: %v, %v", left, err)
			}
		})
	}
}

// TestForeignFlood: a program that never ends is stopped at the length limit.
func TestForeignFlood(t *testing.T) {
	all := *ffmpeg.ClipBytes
	*ffmpeg.ClipBytes = 5 << 20
	defer func() { *ffmpeg.ClipBytes = all }()
	fake(t, "exec /bin/cat /dev/zero")
	ctx, cancel := context.WithTimeout(t.Context(), 20*time.Second)
	defer cancel()
	if _, err := decode.Any(ctx, "x.m4a", m4aHead); err == nil || !strings.Contains(err.Error(), "it is longer than 10m0s") {
		t.Error(err)
	}
}

// TestForeignArguments: nothing of the file's name or content reaches the command
// line, the reader is named, and nobody else can read the temporary file.
func TestForeignArguments(t *testing.T) {
	file := filepath.Join(t.TempDir(), "arguments")
	fake(t, "echo \"$@\" > "+file+"; /bin/ls -l >> "+file)
	decode.Any(t.Context(), "-i /etc/passwd; rm x.m4a", m4aHead)
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	args := string(data)
	if strings.Contains(args, "passwd") || !strings.Contains(args, "-protocol_whitelist file -f mov -i file:recording ") ||
		!strings.Contains(args, "\n-rw-------") {
		t.Errorf("arguments %s", args)
	}
}

// TestForeignEnds: the program ends with the context.
func TestForeignEnds(t *testing.T) {
	fake(t, "exec /bin/sleep 60")
	ctx, cancel := context.WithCancel(t.Context())
	time.AfterFunc(200*time.Millisecond, cancel)
	start := time.Now()
	if _, err := decode.Any(ctx, "x.m4a", m4aHead); !errors.Is(err, context.Canceled) || time.Since(start) > 10*time.Second {
		t.Errorf("%v after %v", err, time.Since(start))
	}
}

// real gives the file of a second of a tone that the ffmpeg that is installed makes.
func real(t *testing.T, name string, args ...string) (data []byte, ok bool) {
	t.Helper()
	if !ffmpeg.Installed() {
		t.Skip("ffmpeg is not installed: the kinds it reads were not tried")
	}
	file := filepath.Join(t.TempDir(), name)
	args = append([]string{"-v", "error", "-f", "lavfi", "-i", "sine=frequency=440:sample_rate=48000:duration=1"}, append(args, file)...)
	if out, err := exec.Command("ffmpeg", args...).CombinedOutput(); err != nil {
		t.Logf("%s cannot be made here: %s", name, out)
		return nil, false
	}
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	return data, true
}

// TestForeignReal reads what phones, browsers and old recorders write with the
// ffmpeg that is installed: a tone comes back at its length, pitch and level.
func TestForeignReal(t *testing.T) {
	made := 0
	for name, args := range map[string][]string{
		"x.m4a": nil, "x.ogg": {"-c:a", "flac"}, "x.opus": nil, "x.webm": nil, "x.aac": nil, "x.aiff": nil, "x.caf": nil, "x.wma": nil,
		"x.wv": nil, "x.mp2": nil, "x.au": nil, "x.w64": nil,
		"mpeg-2.5.mp3": {"-ar", "8000"}, "adpcm.wav": {"-c:a", "adpcm_ms"}, "mp3.wav": {"-c:a", "libmp3lame"}, "large.wav": {"-rf64", "always"},
		"picture.m4a": {"-f", "lavfi", "-i", "color=red:duration=1:size=64x64", "-map", "1:v", "-map", "0:a", "-c:v", "mpeg4"},
	} {
		data, ok := real(t, name, args...)
		if !ok {
			continue
		}
		made++
		var foreign *decode.ForeignError
		if _, err := decode.Bytes(name, data); !errors.As(err, &foreign) {
			t.Errorf("%s: natively %v", name, err)
		}
		clip, err := decode.Any(t.Context(), name, data)
		if err != nil || len(clip.Warnings) > 0 {
			t.Errorf("%s: %v, warnings %q", name, err, clip.Warnings)
			continue
		}
		seconds := float64(len(clip.Samples)/clip.Channels) / float64(clip.Rate)
		// The generator's sine has an amplitude of 1/8; half a second holds 220 periods.
		var sine, cosine float64
		from, n := int(clip.Rate)/4, int(clip.Rate)/2
		for i := from; i < from+n; i++ {
			s, c := math.Sincos(2 * math.Pi * 440 * float64(i) / float64(clip.Rate))
			sine += 2 * s * float64(clip.Samples[i*clip.Channels]) / float64(n)
			cosine += 2 * c * float64(clip.Samples[i*clip.Channels]) / float64(n)
		}
		if db := 20 * math.Log10(8*math.Hypot(sine, cosine)); math.Abs(seconds-1) > 0.1 || math.Abs(db) > 1 {
			t.Errorf("%s: %.3f s, %.2f dB at 440 Hz", name, seconds, db)
		}
	}
	if made < 5 {
		t.Errorf("only %d files could be made", made)
	}
}

// TestForeignFilm: a film without sound is told as that.
func TestForeignFilm(t *testing.T) {
	data, ok := real(t, "film.mp4", "-f", "lavfi", "-i", "color=red:duration=1:size=64x64", "-map", "1:v", "-c:v", "mpeg4")
	if !ok {
		t.Skip("ffmpeg makes no films here")
	}
	if _, err := decode.Any(t.Context(), "film.mp4", data); err == nil || !strings.Contains(err.Error(), "there is no sound in it") {
		t.Error(err)
	}
}

// TestForeignDamaged: sound that ffmpeg reads in spite of damage comes with a
// warning, the same every time.
func TestForeignDamaged(t *testing.T) {
	for name, damage := range map[string]func([]byte) []byte{
		"cut.mka": func(b []byte) []byte { return b[:len(b)/2] },
		"bad.m4a": func(b []byte) []byte {
			for i := range 400 {
				b[3000+i] ^= 0x55
			}
			return b
		},
	} {
		data, ok := real(t, name, "-c:a", "aac")
		if !ok {
			continue
		}
		data = damage(data)
		clip, err := decode.Any(t.Context(), name, data)
		if err != nil || len(clip.Warnings) != 1 || !strings.HasPrefix(clip.Warnings[0], "cut off or damaged: ffmpeg says ") {
			t.Fatalf("%s: %v, warnings %q", name, err, clip.Warnings)
		}
		if again, _ := decode.Any(t.Context(), name, data); !slices.Equal(again.Warnings, clip.Warnings) {
			t.Errorf("%s: %q, then %q", name, clip.Warnings, again.Warnings)
		}
	}
}

// TestReadTags: what an ffmpeg may do instead of telling the tags.
func TestReadTags(t *testing.T) {
	defer func(was time.Duration) { *ffmpeg.ClipTime = was }(*ffmpeg.ClipTime)
	path := filepath.Join(t.TempDir(), "a:b.m4a")
	if err := os.WriteFile(path, m4aHead, 0o644); err != nil {
		t.Fatal(err)
	}
	for name, test := range map[string]struct{ script, want string }{
		"hangs":  {"exec /bin/sleep 60", "took longer than 300ms"},
		"floods": {"exec /usr/bin/yes", "bytes of tags"},
		"fails":  {"echo 'moov not found' >&2; exit 1", "ffmpeg cannot read its tags (moov not found)"},
		// Named reader, files only, and times that count from the file's own start.
		"is asked": {`case "$*" in *"-protocol_whitelist file -f mov"*"-i file:/"*"a:b.m4a -copyts -f ffmetadata"*) echo title=asked;; esac`, "asked"},
	} {
		t.Run(name, func(t *testing.T) {
			fake(t, test.script)
			*ffmpeg.ClipTime = 20 * time.Second // more than a busy machine needs to start a shell
			if name == "hangs" {
				*ffmpeg.ClipTime = 300 * time.Millisecond
			}
			tags, err := ffmpeg.ReadTags(t.Context(), path, "mov")
			got := ""
			if err != nil {
				got = err.Error()
			} else {
				got = tags.Title
			}
			if !strings.Contains(got, test.want) {
				t.Errorf("%q, want %q", got, test.want)
			}
		})
	}
}
