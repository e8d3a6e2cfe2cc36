// Package draft speaks what is not recorded yet, so that a class can be heard
// before its voice is complete: with a speech synthesiser that is installed, or
// else with a soft tone of the likely length.
package draft

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os/exec"
	"strings"
	"time"
)

// limit is how long a synthesiser may take for one text. They take some 50 ms.
const limit = 20 * time.Second

// most is the most bytes of sound taken for one text: a minute at 48 kHz.
const most = 6 << 20

// An engine is a program that turns a text into a WAV file. Its arguments are
// fixed but for the text and the language, it is run without a shell, and it
// reads no file.
type engine struct {
	name string
	// args are the arguments for a text in a language; text goes to standard
	// input where stdin is set.
	args  func(text, language string) []string
	stdin bool
	// speaks tells whether it has the language.
	speaks func(language string) bool
}

// engines are tried in this order. Flite's voice rms was recognised best in noise
// among the small ones, but it has English only (measured for this project).
var engines = []engine{
	{name: "flite", speaks: func(l string) bool { return l == "" || l == "en" || strings.HasPrefix(l, "en-") },
		args: func(text, _ string) []string { return []string{"-voice", "rms", "-t", text, "-o", "/dev/stdout"} }},
	{name: "espeak-ng", stdin: true, speaks: func(string) bool { return true },
		args: func(_, language string) []string {
			// Of a tag like de-AT only the language is sure to be known.
			language, _, _ = strings.Cut(language, "-")
			if language == "" || language == "en" {
				language = "en-us"
			}
			return []string{"-v", language, "-s", "150", "--stdin", "--stdout"}
		}},
}

// A Voice is a folder of stand-in recordings, made as they are opened for.
type Voice struct {
	// Engine is the name of the program that speaks, "" for tones.
	Engine string
	files  memory
}

// Make makes stand-ins for texts in a language (a BCP 47 tag, "" for English).
// It does not fail: a text that no program can say becomes a tone. The error is
// ctx's.
func Make(ctx context.Context, texts []string, language string) (*Voice, error) {
	v := &Voice{files: memory{}}
	engine := find(language)
	if engine != nil {
		v.Engine = engine.name
	}
	for _, text := range texts {
		var wav []byte
		if engine != nil {
			wav = engine.speak(ctx, text, language)
		}
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if wav == nil {
			wav = tone(text)
		}
		v.files[fileName(text)] = wav
	}
	return v, nil
}

// find is the first engine on the PATH that has the language.
func find(language string) *engine {
	for i := range engines {
		if _, err := exec.LookPath(engines[i].name); err == nil && engines[i].speaks(language) {
			return &engines[i]
		}
	}
	return nil
}

// take is the number of a stand-in among the takes of its text: beside a real
// recording that cannot be used it must not have the same file name.
const take = "99"

func fileName(text string) string {
	return strings.Join(strings.Fields(text), "-") + "." + take + ".wav"
}

// speak returns the engine's WAV file for a text, nil where it makes none.
func (e *engine) speak(ctx context.Context, text, language string) []byte {
	ctx, cancel := context.WithTimeout(ctx, limit)
	defer cancel()
	cmd := exec.CommandContext(ctx, e.name, e.args(text, language)...)
	cmd.WaitDelay = time.Second
	if e.stdin {
		cmd.Stdin = strings.NewReader(text)
	}
	var out bytes.Buffer
	cmd.Stdout = &capped{&out, most}
	if err := cmd.Run(); err != nil || out.Len() < 44 {
		return nil
	}
	return out.Bytes()
}

// capped passes on so many bytes and then fails.
type capped struct {
	w    io.Writer
	left int
}

func (c *capped) Write(p []byte) (int, error) {
	if c.left -= len(p); c.left < 0 {
		return 0, fmt.Errorf("more than %d bytes of sound", most)
	}
	return c.w.Write(p)
}

// perLetter is how long a letter of a spoken text lasts: at 150 words a minute
// (testdata/reference/speech/values.csv) of about six letters.
const perLetter = 65 * time.Millisecond

// tone is a hum with the overtones of a voice, as long as the text would be, with
// a dip between words.
func tone(text string) []byte {
	const rate = 16000
	var samples []int16
	silence := func(d time.Duration) {
		samples = append(samples, make([]int16, int(d*rate/time.Second))...)
	}
	silence(150 * time.Millisecond)
	for _, word := range strings.Fields(text) {
		n := int(perLetter * time.Duration(max(2, len([]rune(word)))) * rate / time.Second)
		for i := range n {
			envelope := 1.0
			if edge := min(i, n-1-i); edge < rate/50 {
				envelope = 0.5 - 0.5*math.Cos(math.Pi*float64(edge)/(rate/50))
			}
			var x float64
			for k := 1.0; k <= 8; k++ {
				x += math.Sin(2*math.Pi*130*k*float64(i)/rate) / k
			}
			samples = append(samples, int16(6000*envelope*x))
		}
		silence(40 * time.Millisecond)
	}
	silence(150 * time.Millisecond)
	le := binary.LittleEndian
	b := append([]byte("RIFF"), 0, 0, 0, 0)
	b = append(b, "WAVEfmt "...)
	for _, v := range []uint32{16, 1 | 1<<16, rate, 2 * rate, 2 | 16<<16} {
		b = le.AppendUint32(b, v)
	}
	b = append(b, "data"...)
	b = le.AppendUint32(b, uint32(2*len(samples)))
	for _, s := range samples {
		b = le.AppendUint16(b, uint16(s))
	}
	le.PutUint32(b[4:], uint32(len(b)-8))
	return b
}

// Over is the folder own with the stand-ins beside its recordings.
func (v *Voice) Over(own fs.FS) fs.FS { return both{own, v.files} }

// both is a folder in which two lie one over the other; no name is in both.
type both struct {
	own   fs.FS
	draft memory
}

// Open opens a file of either folder.
func (b both) Open(name string) (fs.File, error) {
	if strings.HasSuffix(name, "."+take+".wav") {
		if f, err := b.draft.Open(name); err == nil {
			return f, nil
		}
	}
	return b.own.Open(name)
}

// ReadDir lists both folders.
func (b both) ReadDir(name string) ([]fs.DirEntry, error) {
	entries, err := fs.ReadDir(b.own, name)
	if err != nil || name != "." {
		return entries, err
	}
	more, err := b.draft.ReadDir(name)
	return append(entries, more...), err
}
