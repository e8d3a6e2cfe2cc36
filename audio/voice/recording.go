package voice

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"runtime"
	"slices"
	"strings"
	"sync"

	"cuewright/audio"
	"cuewright/audio/decode"
	"cuewright/audio/words"
)

// A recording is one file that can be read, opened when first needed.
type recording struct {
	file string
	text string // folded; never empty
	take int    // by its name

	once sync.Once
	clip *Clip // nil when unusable
}

// largest is the size from which a file is not read: a minute at the largest
// form of WAV that recorders write. A recording holds a phrase.
const largest = 64 << 20

// Prepare opens all recordings that speaking these texts needs, as many at a
// time as there are processors to use. It only saves time: what is not prepared
// is opened when a sentence needs it.
func (v *Voice) Prepare(texts []string) {
	var need []*recording
	seen := map[*phrase]bool{}
	for _, t := range texts {
		parts, _ := v.index.cover(words.Of(t), nil)
		for _, p := range parts {
			if !seen[p] {
				seen[p] = true
				need = append(need, p.takes...)
			}
		}
	}
	var (
		work sync.WaitGroup
		next = make(chan *recording)
	)
	for range min(runtime.GOMAXPROCS(0), len(need)) {
		work.Go(func() {
			for r := range next {
				v.open(r)
			}
		})
	}
	for _, r := range need {
		next <- r
	}
	close(next)
	work.Wait()
	for _, t := range texts { // only broken recordings leave something to open here
		v.find(words.Of(t))
	}
}

// clips gives the usable takes of a phrase, in order.
func (v *Voice) clips(p *phrase) []*Clip {
	out := make([]*Clip, 0, len(p.takes))
	for _, r := range p.takes {
		if c := v.open(r); c != nil {
			out = append(out, c)
		}
	}
	return out
}

// open gives the prepared clip of a recording; nil when it is unusable. What is
// wrong is noted the first time.
func (v *Voice) open(r *recording) *Clip {
	r.once.Do(func() {
		clip, warnings, err := v.read(r)
		var faults []Fault
		for _, w := range warnings {
			faults = append(faults, Fault{r.file, r.text, false, strings.TrimPrefix(w, r.file+": ")})
		}
		if err != nil {
			faults = append(faults, Fault{r.file, r.text, true, strings.TrimPrefix(err.Error(), r.file+": ")})
		}
		if len(faults) > 0 {
			v.fault(faults...)
		}
		r.clip = clip
	})
	return r.clip
}

func (v *Voice) read(r *recording) (*Clip, []string, error) {
	data, err := v.bytes(r.file)
	if err != nil {
		return nil, nil, err
	}
	key := v.key(data)
	clip, warnings, ok := v.cache.load(key)
	if !ok {
		if clip, warnings, err = v.make(r.file, data); err != nil {
			return nil, warnings, err
		}
		v.cache.store(key, clip, warnings)
	}
	clip.File, clip.Text = r.file, r.text
	clip.Words = 1 + strings.Count(r.text, " ")
	return clip, warnings, nil
}

// make decodes and prepares a recording. Its warnings do not name the file, which
// may have another name the next time.
func (v *Voice) make(name string, data []byte) (*Clip, []string, error) {
	decoded, err := v.decode(name, data)
	if err != nil {
		return nil, nil, err
	}
	sound, fromMono := decoded.Mono()
	warnings := slices.Concat(decoded.Warnings, fromMono)
	if decoded.Rate < narrow {
		warnings = append(warnings, fmt.Sprintf("%d Hz is telephone sound: record at 44100 or 48000 Hz", decoded.Rate))
	}
	clip, more, err := v.prepare(sound)
	if err != nil {
		return nil, warnings, err
	}
	return clip, append(warnings, more...), nil
}

// narrow is the rate under which the upper range of speech is lost: half of it
// must pass the 8 kHz that consonants reach. 8 kHz is the rate of the telephone.
const narrow audio.Rate = 16000

// decode decodes a recording of any kind that can be read here.
func (v *Voice) decode(name string, data []byte) (audio.Clip, error) {
	ctx := v.opt.Context
	if ctx == nil {
		ctx = context.Background()
	}
	return decode.Any(ctx, name, data)
}

// bytes reads the file of a recording.
func (v *Voice) bytes(name string) ([]byte, error) {
	data, err := readFile(v.fsys, name)
	switch {
	case err != nil:
		return nil, err
	case len(data) == 0:
		return nil, errors.New("is empty")
	}
	return data, nil
}

// readFile is fs.ReadFile for files of a sensible size.
func readFile(fsys fs.FS, name string) ([]byte, error) {
	f, err := fsys.Open(name)
	if err != nil {
		var path *fs.PathError
		if errors.As(err, &path) {
			err = path.Err // the rest of the message is the file's name
		}
		if info, e := fs.Lstat(fsys, name); e == nil && info.Mode()&fs.ModeSymlink != 0 {
			return nil, fmt.Errorf("cannot be opened: %w; links are followed within the folder only", err)
		}
		return nil, fmt.Errorf("cannot be opened: %w", err)
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, largest+1))
	switch {
	case err != nil:
		return nil, fmt.Errorf("cannot be read: %w", err)
	case len(data) > largest:
		return nil, fmt.Errorf("is larger than %d MB: record one phrase a file", largest>>20)
	}
	return data, nil
}
