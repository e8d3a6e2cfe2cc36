package decode

import (
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"
)

func TestParseTags(t *testing.T) {
	got := parseTags(`;FFMETADATA1
TITLE=a\=b\;c\#d\\e
artist=nobody
[CHAPTER]=
encoder=x
[STREAM]
title=not this
[CHAPTER]
TIMEBASE=1/1000
START=19977
END=20000
title=Höhe 5 %\
second line
[CHAPTER]
TIMEBASE=1/48000
START=96048
title=[CHAPTER] \=
[CHAPTER]
START=7
[CHAPTER]
TIMEBASE=1/0
START=many
title=
[CHAPTER]
START=-1
[CHAPTER]
START=1e300
[CHAPTER]
START=nan`)
	want := &Tags{`a=b;c#d\e`, []Chapter{
		{19977 * time.Millisecond, "Höhe 5 %\nsecond line"},
		{2001 * time.Millisecond, "[CHAPTER] ="},
		{7 * time.Second, ""},
		{}, {}, {}, {},
	}}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("read %+v, want %+v", got, want)
	}
}

// TestReadTags: what an ffmpeg may do instead of telling the tags.
func TestReadTags(t *testing.T) {
	defer func(was time.Duration) { foreignTime = was }(foreignTime)
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
			foreignTime = 20 * time.Second // more than a busy machine needs to start a shell
			if name == "hangs" {
				foreignTime = 300 * time.Millisecond
			}
			tags, err := ReadTags(t.Context(), path)
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

// FuzzTags: no text of tags does harm.
func FuzzTags(f *testing.F) {
	f.Add(";FFMETADATA1\ntitle=x\n[CHAPTER]\nTIMEBASE=1/1000\nSTART=1\ntitle=y\\\nz\n")
	f.Add("[CHAPTER]\nSTART=1e300\nTIMEBASE=-1/1e-300\n\\")
	f.Fuzz(func(t *testing.T, text string) {
		for _, c := range parseTags(text).Chapters {
			if c.Start < 0 {
				t.Errorf("a chapter at %v", c.Start)
			}
		}
	})
}
