package voice

import (
	"context"
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"sync"

	"cuewright/audio"
	"cuewright/audio/clip"
	"cuewright/audio/decode"
	"cuewright/audio/ffmpeg"
	"cuewright/audio/words"

	"golang.org/x/text/unicode/norm"
)

// Options say how recordings are prepared and joined. Rate must be set.
type Options struct {
	// Rate of the prepared samples, in frames a second.
	Rate audio.Rate
	// Presence lifts everything above 1.5 kHz by so many dB (a high shelf)
	// before levelling: 6 to 9 dB keep words clear in a noisy room (measured
	// for this project with a word recogniser in pink noise). 0 is none.
	Presence float64
	// Tight are the words that join one another with no pause, the number
	// words as a rule. Each is cut into words as by Words.
	Tight []string
	// Names are what files speak whose names do not say it, as voice.yaml gives it.
	Names map[string]string
	// Cache is a folder for prepared clips, made when it is needed; "" for none.
	Cache string
	// Context ends ffmpeg, which may be run for a recording whenever one is
	// opened; nil for no end but its own.
	Context context.Context
}

// A Voice is a folder of recordings. It is safe for use by several goroutines.
type Voice struct {
	fsys  fs.FS
	opt   Options
	tight map[string]bool
	index index
	maker *clip.Maker

	mu     sync.Mutex
	faults []Fault
}

// A Fault is what is wrong with one recording.
type Fault struct {
	// File is the name in the folder.
	File string
	// Text is what the file should speak, as folded by Words.
	Text string
	// Unusable says that the recording counts as not there; otherwise it is
	// used as it is.
	Unusable bool
	// Message says what is wrong and, where something helps, what.
	Message string
}

// Open lists the recordings in the top level of fsys. No recording is opened. Hidden files, folders and
// files that are no audio are ignored; audio files of other formats than WAV,
// MP3 and FLAC are recordings where ffmpeg is installed, and else Faults. Links
// are followed as far as fsys does: that of an os.Root stays in its folder.
//
// A folder that cannot be listed is an error; an empty one is not.
func Open(fsys fs.FS, opt Options) (*Voice, error) {
	files, err := list(fsys)
	if err != nil {
		return nil, fmt.Errorf("voice: %w", err)
	}
	v := &Voice{fsys: fsys, opt: opt, tight: map[string]bool{}, maker: clip.NewMaker(opt.Rate, opt.Presence, opt.Cache)}
	for _, t := range opt.Tight {
		for _, w := range words.Of(t) {
			v.tight[w] = true
		}
	}
	v.index = newIndex(v.recordings(files, named(files, opt.Names)))
	return v, nil
}

// configFile is the file beside the recordings that says what names cannot.
const configFile = "voice.yaml"

// named are what files of a folder speak by the names given for them.
func named(files []string, names map[string]string) map[string]string {
	out := map[string]string{}
	for name, text := range names {
		if i := fileNamed(files, name); i >= 0 {
			out[files[i]] = words.Fold(text)
		}
	}
	return out
}

// fileNamed finds a file by its name; some systems store names decomposed.
func fileNamed(files []string, name string) int {
	return slices.IndexFunc(files, func(f string) bool { return f == name || norm.NFC.String(f) == norm.NFC.String(name) })
}

// CheckName tells what is wrong with a name that voice.yaml gives: the file is none of the
// recordings in fsys, or, where ofText is set, its text has no words. what is "" where
// nothing is. The error is for a folder that cannot be listed.
func CheckName(fsys fs.FS, name, text string) (what string, ofText bool, err error) {
	files, err := list(fsys)
	switch {
	case err != nil:
		return "", false, err
	case name == "..", strings.ContainsAny(name, `/\`):
		return fmt.Sprintf("%q lies outside the folder, the name of a file beside %s is accepted", name, configFile), false, nil
	case fileNamed(files, name) < 0:
		return fmt.Sprintf("there is no file %q, the name of a file beside %s is accepted", name, configFile), false, nil
	case !readable[ending(name)] && !foreign[ending(name)]:
		return fmt.Sprintf("%q is no recording, .wav, .mp3 and .flac are accepted", name), false, nil
	case words.Fold(text) == "":
		return fmt.Sprintf("%q has no words, what %q speaks is accepted", text, name), true, nil
	}
	return "", false, nil
}

// Settings reads the voice.yaml of a folder; nil where there is none. The error
// says that it cannot be read, and does not name the file.
func Settings(fsys fs.FS) ([]byte, error) {
	files, err := list(fsys)
	if err != nil {
		return nil, err
	}
	if !slices.Contains(files, configFile) {
		return nil, nil
	}
	return readFile(fsys, configFile)
}

// list gives the names of the files in the top level of fsys, sorted, without
// the hidden ones and without pipes and the like, whose opening may never end.
func list(fsys fs.FS) ([]string, error) {
	entries, err := fs.ReadDir(fsys, ".")
	if err != nil {
		return nil, err
	}
	var files []string
	for _, e := range entries {
		mode := e.Type()
		if mode&fs.ModeSymlink != 0 {
			mode = 0 // one that cannot be followed is a fault when it is opened
			if to, err := fs.Stat(fsys, e.Name()); err == nil {
				mode = to.Mode()
			}
		}
		if !mode.IsRegular() || strings.HasPrefix(e.Name(), ".") {
			continue
		}
		files = append(files, e.Name())
	}
	slices.Sort(files)
	return files, nil
}

// recordings picks the recordings among the files, texts before names, and
// notes as faults those that cannot be used whatever they hold.
func (v *Voice) recordings(files []string, texts map[string]string) []*recording {
	var out []*recording
	converts := ffmpeg.Installed()
	for _, f := range files {
		if !readable[ending(f)] && !foreign[ending(f)] {
			continue
		}
		text, take := spokenBy(f)
		if t, ok := texts[f]; ok {
			text = t
		}
		switch {
		case text == "":
			v.fault(Fault{f, "", true, "the name holds no words: name the file after what it speaks"})
		case foreign[ending(f)] && !converts:
			v.fault(Fault{f, text, true, decode.Advice})
		default:
			out = append(out, &recording{file: f, text: text, take: take})
		}
	}
	return out
}

// Len returns the number of texts that recordings stand for by their names.
func (v *Voice) Len() int { return len(v.index.phrases) }

// Has reports whether the text was recorded whole, in one recording that can be
// used. It opens that recording.
func (v *Voice) Has(text string) bool {
	p := v.index.phrases[words.Fold(text)]
	return p != nil && len(v.usable(p)) > 0
}

// Faults lists what was wrong with the recordings opened so far, and with files
// that can never be opened, sorted by file.
func (v *Voice) Faults() []Fault {
	v.mu.Lock()
	defer v.mu.Unlock()
	out := slices.Clone(v.faults)
	slices.SortStableFunc(out, func(a, b Fault) int { return strings.Compare(a.File, b.File) })
	return out
}

// fault notes faults; those of one file in one call.
func (v *Voice) fault(f ...Fault) {
	v.mu.Lock()
	defer v.mu.Unlock()
	v.faults = append(v.faults, f...)
}
