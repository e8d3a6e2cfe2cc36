package main

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

	"cuewright/audio/decode"
)

// A stamp tells what a track was made from. It stands in the cache, not in the track,
// and only saves time: without it, or with a track that was touched since, the track
// is made anew.
type stamp struct {
	Inputs   string // a hash of all that decides about the track's bytes
	Size     int64  // of the track
	Modified int64  // when it was written, in nanoseconds
	Figures  string // of its report
}

// inputs hashes what the track is made from: the plan and an edited list by what they
// hold, the recordings and the music by name, size and time, the program itself, and
// the options. "" is for what cannot be told.
func (r *render) inputs(set *settings) string {
	h := sha256.New()
	program, err := os.Executable()
	if err != nil || r.drafted != "" || !addFile(h, program) {
		return "" // which voice fills in for a draft may have changed
	}
	fmt.Fprintln(h, set.voice, r.class.Options, set.step, set.from, set.length, filepath.Ext(r.path), decode.HasFFmpeg())
	fmt.Fprintln(h, r.list.Title, r.plan.Coach.Value)
	for _, name := range []string{r.name, r.cueList} {
		if data, err := os.ReadFile(name); err == nil {
			fmt.Fprintf(h, "%d %s\n", len(data), data)
		} else {
			fmt.Fprintf(h, "%q\n", name) // a built-in plan, or no list
		}
	}
	if r.folder != "" {
		entries, err := fs.ReadDir(r.files, ".")
		if err != nil {
			return ""
		}
		for _, e := range entries {
			info, err := fs.Stat(r.files, e.Name())
			if err != nil {
				continue // it counts as not recorded
			}
			addInfo(h, e.Name(), info)
		}
	}
	if music := r.musicPath(); music != "" && !addFile(h, music) {
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

// stampPath is where the stamp of a track stands; "" without a cache.
func stampPath(track string) string {
	folder := cacheFolder()
	whole, err := filepath.Abs(track)
	if folder == "" || err != nil {
		return ""
	}
	name := sha256.Sum256([]byte(whole))
	return filepath.Join(folder, "tracks", hex.EncodeToString(name[:])+".json")
}

// unchanged returns the figures of the track that stands at the path, if it was made
// from these inputs and not touched since.
func unchanged(track, inputs string) (figures string, ok bool) {
	data, err := os.ReadFile(stampPath(track))
	info, infoErr := os.Stat(track)
	var s stamp
	if err != nil || infoErr != nil || inputs == "" || json.Unmarshal(data, &s) != nil {
		return "", false
	}
	same := s.Inputs == inputs && s.Size == info.Size() && s.Modified == info.ModTime().UnixNano()
	return s.Figures, same
}

// putStamp keeps what a track was made from, if it can.
func putStamp(track, inputs, figures string) {
	path := stampPath(track)
	info, err := os.Stat(track)
	if path == "" || inputs == "" || err != nil || os.MkdirAll(filepath.Dir(path), 0o700) != nil {
		return
	}
	data, err := json.Marshal(stamp{inputs, info.Size(), info.ModTime().UnixNano(), figures})
	if err != nil {
		return
	}
	// Without one the track is made anew, which is all that an error would lead to.
	writeFile(path, func(f *os.File) error {
		_, err := f.Write(slices.Concat(data, []byte("\n")))
		return err
	})
}
