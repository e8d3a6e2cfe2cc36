package draft

import (
	"bytes"
	"io/fs"
	"maps"
	"slices"
	"time"
)

// memory is a folder of files in memory, without folders in it.
type memory map[string][]byte

// Open opens a file.
func (m memory) Open(name string) (fs.File, error) {
	data, ok := m[name]
	if !ok {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
	}
	return file{bytes.NewReader(data), info{name, int64(len(data))}}, nil
}

// ReadDir lists the files by name.
func (m memory) ReadDir(string) ([]fs.DirEntry, error) {
	var out []fs.DirEntry
	for _, name := range slices.Sorted(maps.Keys(m)) {
		out = append(out, fs.FileInfoToDirEntry(info{name, int64(len(m[name]))}))
	}
	return out, nil
}

type file struct {
	*bytes.Reader
	info
}

func (f file) Stat() (fs.FileInfo, error) { return f.info, nil }
func (f file) Close() error               { return nil }
func (f file) Size() int64                { return f.info.Size() }

type info struct {
	name string
	size int64
}

func (i info) Name() string       { return i.name }
func (i info) Size() int64        { return i.size }
func (i info) Mode() fs.FileMode  { return 0o444 }
func (i info) ModTime() time.Time { return time.Time{} }
func (i info) IsDir() bool        { return false }
func (i info) Sys() any           { return nil }
