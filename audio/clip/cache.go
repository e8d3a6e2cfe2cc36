package clip

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"hash/crc32"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strings"
	"sync"
	"time"
)

// A cache keeps prepared clips in files, by what they were made from. It only
// saves time: whatever is wrong with it, the clip is made anew. Several processes
// may use one folder.
type cache struct {
	dir string // nothing for no cache

	mu    sync.Mutex
	spare int64 // bytes that may be written before it is time to look for old entries
}

const (
	// cacheVersion counts changes of entries and of how clips are prepared: of
	// anything between the bytes of a file and the samples of its clip.
	// TestCacheVersion tells when.
	cacheVersion = 2
	cacheMagic   = "cuewright clip\n"
	cacheEnding  = ".clip"
	partName     = "cuewright-*.part" // of an entry that is being written
	// partAge is when such a file is taken to be left by a process that was stopped.
	partAge = time.Hour
)

// entryName is a key with its ending. The folder may be one that the user put
// other things into.
var entryName = regexp.MustCompile(`^[0-9a-f]{64}\.clip$`)

// maxEntry is the size from which an entry is not read: a minute at the highest rate.
const maxEntry = 64 << 20

// maxCache is how many bytes stay when old entries are removed: a voice of 150
// phrases takes about 25 MB. Every maxCache/8 written they are looked for again.
var maxCache int64 = 256 << 20

// entry is what stands before the samples of a clip.
type entry struct {
	Frames           int
	Lead, Tail, Beat int64
	Warnings         []string
}

// key names the clip that data becomes under the options. Processors differ in the
// last bits of a sum, and a home may be shared by several kinds.
func (m *Maker) key(data []byte) string {
	h := sha256.New()
	fmt.Fprintf(h, "%d %s %d %x\n", cacheVersion, runtime.GOARCH, m.rate, math.Float64bits(m.presence))
	h.Write(data)
	return hex.EncodeToString(h.Sum(nil))
}

// load returns a clip and its warnings; ok is false where it is not there whole.
func (c *cache) load(key string) (clip *Clip, warnings []string, ok bool) {
	if c.dir == "" {
		return nil, nil, false
	}
	name := filepath.Join(c.dir, key+cacheEnding)
	info, err := os.Stat(name)
	if err != nil || !info.Mode().IsRegular() || info.Size() > maxEntry {
		return nil, nil, false
	}
	f, err := os.Open(name)
	if err != nil {
		return nil, nil, false
	}
	defer f.Close()
	data := entries.Get().(*bytes.Buffer)
	defer entries.Put(data)
	data.Reset()
	data.Grow(int(info.Size()) + bytes.MinRead) // room to find the end in
	if _, err := data.ReadFrom(f); err != nil {
		return nil, nil, false
	}
	return parseEntry(data.Bytes())
}

// entries are buffers to read entries into: most of their bytes become samples and
// are not needed again.
var entries = sync.Pool{New: func() any { return new(bytes.Buffer) }}

// parseEntry reads the bytes of an entry and believes nothing in them.
func parseEntry(data []byte) (clip *Clip, warnings []string, ok bool) {
	body, found := bytes.CutPrefix(data, []byte(cacheMagic))
	if !found || len(body) < crc32.Size+4 {
		return nil, nil, false
	}
	sum, body := binary.LittleEndian.Uint32(body), body[crc32.Size:]
	if crc32.Checksum(body, castagnoli) != sum {
		return nil, nil, false
	}
	head := int64(binary.LittleEndian.Uint32(body))
	body = body[4:]
	var e entry
	if head > int64(len(body)) || json.Unmarshal(body[:head], &e) != nil {
		return nil, nil, false
	}
	body = body[head:]
	frames := int64(len(body) / 4)
	if len(body)%4 != 0 || int64(e.Frames) != frames || e.Lead < 0 || e.Tail < 0 || e.Lead >= frames || e.Tail >= frames-e.Lead ||
		e.Beat < 0 || e.Beat > frames {
		return nil, nil, false
	}
	clip = &Clip{Samples: make([]float32, frames), Lead: e.Lead, Tail: e.Tail, Beat: e.Beat}
	for i := range clip.Samples {
		v := math.Float32frombits(binary.LittleEndian.Uint32(body))
		if v-v != 0 { // not a number, or without end
			return nil, nil, false
		}
		clip.Samples[i], body = v, body[4:]
	}
	return clip, e.Warnings, true
}

// formatEntry is what parseEntry reads.
func formatEntry(clip *Clip, warnings []string) []byte {
	head, err := json.Marshal(entry{len(clip.Samples), clip.Lead, clip.Tail, clip.Beat, warnings})
	if err != nil {
		panic(err) // numbers and texts
	}
	body := binary.LittleEndian.AppendUint32(nil, uint32(len(head)))
	body = append(body, head...)
	for _, s := range clip.Samples {
		body = binary.LittleEndian.AppendUint32(body, math.Float32bits(s))
	}
	return seal(body)
}

// seal puts what an entry begins with before its body.
func seal(body []byte) []byte {
	sum := binary.LittleEndian.AppendUint32([]byte(cacheMagic), crc32.Checksum(body, castagnoli))
	return append(sum, body...)
}

// castagnoli is the polynomial that processors reckon with: entries are summed to find
// what a disk spoiled, not what a foe wrote.
var castagnoli = crc32.MakeTable(crc32.Castagnoli)

// store keeps a clip, if it can. An entry is there whole or not at all.
func (c *cache) store(key string, clip *Clip, warnings []string) {
	if c.dir == "" || os.MkdirAll(c.dir, 0o700) != nil {
		return
	}
	data := formatEntry(clip, warnings)
	if len(data) > maxEntry { // which would not be read again
		return
	}
	c.makeRoom(int64(len(data)))
	f, err := os.CreateTemp(c.dir, partName)
	if err != nil {
		return
	}
	_, err = f.Write(data)
	if f.Close() != nil || err != nil || os.Rename(f.Name(), filepath.Join(c.dir, key+cacheEnding)) != nil {
		os.Remove(f.Name())
	}
}

// makeRoom removes old entries before so many bytes are written, the first time and
// whenever much was written since.
func (c *cache) makeRoom(room int64) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.spare -= room; c.spare < 0 {
		c.removeOld()
		c.spare = maxCache / 8
	}
}

// removeOld removes the oldest entries where there are too many bytes of them, and
// what was never finished. Nothing else in the folder is touched.
func (c *cache) removeOld() {
	entries, err := os.ReadDir(c.dir)
	if err != nil {
		return
	}
	var files []os.FileInfo
	var size int64
	for _, e := range entries {
		info, err := e.Info()
		if err != nil || !info.Mode().IsRegular() {
			continue
		}
		if entryName.MatchString(e.Name()) {
			files = append(files, info)
			size += info.Size()
		} else if part, _ := filepath.Match(partName, e.Name()); part && time.Since(info.ModTime()) > partAge {
			os.Remove(filepath.Join(c.dir, e.Name()))
		}
	}
	slices.SortFunc(files, func(a, b os.FileInfo) int {
		return cmp.Or(a.ModTime().Compare(b.ModTime()), strings.Compare(a.Name(), b.Name()))
	})
	for _, f := range files {
		if size <= maxCache {
			return
		}
		if os.Remove(filepath.Join(c.dir, f.Name())) == nil {
			size -= f.Size()
		}
	}
}
