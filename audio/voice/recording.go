package voice

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"runtime"
	"strings"
	"sync"

	"cuewright/audio/clip"
	"cuewright/audio/words"
)

// A recording is one file that can be read, opened when first needed.
type recording struct {
	file string
	text string // folded; never empty
	take int    // by its name

	once sync.Once
	clip *clip.Clip // nil when unusable
}

// maxFile is the size from which a file is not read: a minute at the maxFile
// form of WAV that recorders write. A recording holds a phrase.
const maxFile = 64 << 20

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

// usable gives the usable takes of a phrase, in order.
func (v *Voice) usable(p *phrase) []*recording {
	out := make([]*recording, 0, len(p.takes))
	for _, r := range p.takes {
		if v.open(r) != nil {
			out = append(out, r)
		}
	}
	return out
}

// open gives the prepared clip of a recording; nil when it is unusable. What is
// wrong is noted the first time.
func (v *Voice) open(r *recording) *clip.Clip {
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

func (v *Voice) read(r *recording) (*clip.Clip, []string, error) {
	data, err := v.bytes(r.file)
	if err != nil {
		return nil, nil, err
	}
	return v.maker.Make(v.context(), r.file, data)
}

func (v *Voice) context() context.Context {
	if v.opt.Context == nil {
		return context.Background()
	}
	return v.opt.Context
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
	data, err := io.ReadAll(io.LimitReader(f, maxFile+1))
	switch {
	case err != nil:
		return nil, fmt.Errorf("cannot be read: %w", err)
	case len(data) > maxFile:
		return nil, fmt.Errorf("is larger than %d MB: record one phrase a file", maxFile>>20)
	}
	return data, nil
}
