package job

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"

	"cuewright/audio/ffmpeg"
	"cuewright/cues/track"

	"cuewright/cmd/cuewright/wholefile"
)

// A manifest tells what a track was made from. It stands in the cache, not in the track,
// and only saves time: without it, or with a track that was touched since, the track
// is made anew.
type manifest struct {
	Inputs   string // a hash of all that decides about the track's bytes
	Size     int64  // of the track
	Modified int64  // when it was written, in nanoseconds
	Figures  string // of its report
}

// inputs hashes what the track is made from: the plan and an edited list by what they
// hold, the recordings and the music by name, size and time, the program itself, and
// the options. "" is for what cannot be told.
func (t *Track) inputs(e track.Excerpt) string {
	j, h := t.Job, sha256.New()
	program, err := os.Executable()
	if err != nil || j.Drafted != "" || !addFile(h, program) {
		return "" // which voice fills in for a draft may have changed
	}
	fmt.Fprintln(h, j.options.Voice, j.Class.Options, e, filepath.Ext(t.Path), ffmpeg.Installed())
	fmt.Fprintln(h, j.List.Title, j.Plan.Coach.Value)
	for _, name := range []string{j.Name, j.options.CueList, j.Plan.CommonFile} {
		if data, err := os.ReadFile(name); err == nil {
			fmt.Fprintf(h, "%d %s\n", len(data), data)
		} else {
			fmt.Fprintf(h, "%q\n", name) // a built-in plan, or no list
		}
	}
	if j.folder != "" {
		entries, err := fs.ReadDir(j.files, ".")
		if err != nil {
			return ""
		}
		for _, e := range entries {
			info, err := fs.Stat(j.files, e.Name())
			if err != nil {
				continue // it counts as not recorded
			}
			addInfo(h, e.Name(), info)
		}
	}
	if music := j.musicPath(); music != "" && !addFile(h, music) {
		return ""
	}
	return hex.EncodeToString(h.Sum(nil))
}

func addFile(w io.Writer, name string) bool {
	info, err := os.Stat(name)
	if err != nil {
		return false
	}
	addInfo(w, name, info)
	return true
}

func addInfo(w io.Writer, name string, info fs.FileInfo) {
	fmt.Fprintf(w, "%q %d %d\n", name, info.Size(), info.ModTime().UnixNano())
}

// manifestPath is where the manifest of a track stands; "" without a cache.
func (t *Track) manifestPath() string {
	folder := t.Job.options.Cache
	whole, err := filepath.Abs(t.Path)
	if folder == "" || err != nil {
		return ""
	}
	name := sha256.Sum256([]byte(whole))
	return filepath.Join(folder, "tracks", hex.EncodeToString(name[:])+".json")
}

// unchanged returns the figures of the track that stands at the path, if it was made
// from these inputs and not touched since.
func (t *Track) unchanged(inputs string) (figures string, ok bool) {
	data, err := os.ReadFile(t.manifestPath())
	info, infoErr := os.Stat(t.Path)
	var m manifest
	if err != nil || infoErr != nil || inputs == "" || json.Unmarshal(data, &m) != nil {
		return "", false
	}
	same := m.Inputs == inputs && m.Size == info.Size() && m.Modified == info.ModTime().UnixNano()
	return m.Figures, same
}

// keepManifest keeps what a track was made from, if it can.
func (t *Track) keepManifest(inputs string) {
	path := t.manifestPath()
	info, err := os.Stat(t.Path)
	if path == "" || inputs == "" || err != nil || os.MkdirAll(filepath.Dir(path), 0o700) != nil {
		return
	}
	data, err := json.Marshal(manifest{inputs, info.Size(), info.ModTime().UnixNano(), t.Figures})
	if err != nil {
		return
	}
	// Without one the track is made anew, which is all that an error would lead to.
	wholefile.Write(path, func(f *os.File) error {
		_, err := f.Write(slices.Concat(data, []byte("\n")))
		return err
	})
}
