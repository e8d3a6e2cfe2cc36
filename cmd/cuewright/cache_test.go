package main

import (
	"bytes"
	"context"
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"cuewright/cmd/cuewright/cli"
	"cuewright/samples"
)

// TestCacheSameBytes: a track has the same bytes without a cache, with an empty
// one, a full one, one whose entries are damaged in several ways, and one that
// cannot be written.
func TestCacheSameBytes(t *testing.T) {
	dir := t.TempDir()
	t.Chdir(dir)
	// A folder of one's own is opened anew by each run, which the built-in voice is not.
	if err := os.CopyFS("voice", samples.Voice()); err != nil {
		t.Fatal(err)
	}
	plan := "class: Low Tide\nunits: km/h\nvoice: voice\ntrack: {presence: 6}\nmain: [{speed: 8, for: 30s}, {speed: 9.5, for: 30s}]\n"
	if err := os.WriteFile("plan.yaml", []byte(plan), 0o644); err != nil {
		t.Fatal(err)
	}
	render := func(what, cache string) []byte {
		t.Helper()
		t.Setenv("CUEWRIGHT_CACHE", cache)
		var out, errOut bytes.Buffer
		if status := run(context.Background(), []string{"render", "plan.yaml", "-o", what + ".wav"}, &out, &errOut); status != cli.OK {
			t.Fatalf("%s: status %d: %s", what, status, errOut.String())
		}
		data, err := os.ReadFile(what + ".wav")
		if err != nil {
			t.Fatal(err)
		}
		return data
	}
	entries := func() map[string]string {
		sums := map[string]string{}
		err := fs.WalkDir(os.DirFS("cache"), ".", func(name string, e fs.DirEntry, err error) error {
			if err == nil && filepath.Ext(name) == ".clip" {
				data, _ := os.ReadFile(filepath.Join("cache", name))
				sums[name] = string(data)
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
		return sums
	}
	want := render("off", "off")
	if _, err := os.Stat("off"); err == nil {
		t.Error("\"off\" made a folder")
	}
	same := func(what, cache string) {
		t.Helper()
		if !bytes.Equal(render(what, cache), want) {
			t.Errorf("%s: other bytes", what)
		}
	}
	same("cold", "cache")
	full := entries()
	if len(full) < 10 {
		t.Fatalf("%d entries", len(full))
	}
	same("warm", "cache")
	i := 0
	for name, data := range full {
		b := []byte(data)
		switch i++; i % 5 {
		case 0:
			b = nil
		case 1:
			b = b[:len(b)/2]
		case 2:
			b[len(b)-3] ^= 0x40
		case 3:
			b = []byte("something else\n")
		case 4:
			b = append(b, b...)
		}
		if err := os.WriteFile(filepath.Join("cache", name), b, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	same("damaged", "cache")
	mended := entries()
	for name, data := range full {
		if mended[name] != data {
			t.Errorf("%s was not made anew", name)
		}
	}
	same("unwritable", filepath.Join("plan.yaml", "cache"))
}
