package ffmpeg

import (
	"reflect"
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

// TestOutput: what a program says is kept up to a bound, or its end.
func TestOutput(t *testing.T) {
	stopped := false
	o := output{max: 100, stop: func() { stopped = true }}
	for range 5 {
		o.Write(make([]byte, 30))
	}
	if !o.over || !stopped || o.kept.Len() != 90 {
		t.Errorf("%d bytes kept, over %v", o.kept.Len(), o.over)
	}
	end := output{max: 5}
	end.Write([]byte("abc"))
	end.Write([]byte("defgh"))
	if got := end.kept.String(); got != "defgh" {
		t.Errorf("the end kept is %q", got)
	}
}
