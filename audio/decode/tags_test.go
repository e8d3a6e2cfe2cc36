package decode

import (
	"reflect"
	"testing"
	"time"
)

func TestParseTags(t *testing.T) {
	got := parseTags(`;FFMETADATA1
TITLE=a\=b\;c\#d\\e
artist=nobody
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
title=`)
	want := &Tags{`a=b;c#d\e`, []Chapter{
		{19977 * time.Millisecond, "Höhe 5 %\nsecond line"},
		{2001 * time.Millisecond, "[CHAPTER] ="},
		{7 * time.Second, ""},
		{0, ""},
	}}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("read %+v, want %+v", got, want)
	}
}

// FuzzTags: no text of tags does harm.
func FuzzTags(f *testing.F) {
	f.Add(";FFMETADATA1\ntitle=x\n[CHAPTER]\nTIMEBASE=1/1000\nSTART=1\ntitle=y\\\nz\n")
	f.Add("[CHAPTER]\nSTART=1e300\nTIMEBASE=-1/1e-300\n\\")
	f.Fuzz(func(t *testing.T, text string) { parseTags(text) })
}
