package main

import (
	"bytes"
	"context"
	"encoding/json"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"cuewright/audio/faults"
	"cuewright/cmd/cuewright/cli"
	"cuewright/samples"
)

// TestClips listens to some recordings of the demo voice with a few bad ones
// among them: as a table, and for programs.
func TestClips(t *testing.T) {
	dir := t.TempDir()
	copyTo := func(from, to string) {
		data, err := fs.ReadFile(samples.Voice(), from)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, to), data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	for _, f := range []string{"speed.flac", "incline.flac", "five.flac", "rise.flac"} {
		copyTo(f, f)
	}
	clips := func(args ...string) (status int, out string) {
		var b, errOut bytes.Buffer
		status = run(context.Background(), append([]string{"clips", dir}, args...), &b, &errOut)
		return status, b.String() + errOut.String()
	}
	if status, out := clips(); status != cli.OK || out != "4 recordings, 4 without a fault; 0 faults would be heard in a class, 0 would not\n" {
		t.Errorf("good recordings: status %d, %s", status, out)
	}
	// Names and sentences are those of the plan: "rise" is one, "crest" with a 5 is not.
	copyTo("crest.flac", "crest-5.flac")
	if status, out := clips("sample:harbour-steps"); status != cli.OK || !strings.Contains(out, "crest-5.flac    unused") || strings.Contains(out, "rise") {
		t.Errorf("with a plan: status %d, %s", status, out)
	}
	if err := os.WriteFile(filepath.Join(dir, "to.wav"), []byte("no sound"), 0o644); err != nil {
		t.Fatal(err)
	}
	if status, out := clips(); status != cli.Problems || !strings.Contains(out, "to.wav  ! unreadable") {
		t.Errorf("an unreadable one: status %d, %s", status, out)
	}
	cut, err := fs.ReadFile(samples.Voice(), "ten-seconds-left.flac")
	if err != nil {
		t.Fatal(err)
	}
	cutFile := filepath.Join(dir, "ten-seconds-left.flac")
	if err := os.WriteFile(cutFile, cut[:len(cut)/2], 0o644); err != nil {
		t.Fatal(err)
	}
	if _, out := clips(); !strings.Contains(out, "ten-seconds-left.flac    damaged") || !strings.Contains(out, "cut off after ") {
		t.Errorf("a recording that is cut off: %s", out)
	}
	if err := os.Remove(cutFile); err != nil {
		t.Fatal(err)
	}
	status, out := clips("--json")
	var doc struct {
		Clips []struct {
			File, Text        string
			Seconds, Loudness *float64
			Faults            []struct {
				Kind             faults.Kind
				Severity, Advice string
				Measured, Limit  *float64
			}
		}
	}
	if err := json.Unmarshal([]byte(out), &doc); err != nil || status != cli.Problems || len(doc.Clips) != 6 {
		t.Fatalf("%v, status %d, %d clips", err, status, len(doc.Clips))
	}
	if c := doc.Clips[1]; c.File != "five.flac" || c.Text != "five" || *c.Seconds < 0.2 || *c.Loudness > -5 || c.Faults == nil || len(c.Faults) > 0 {
		t.Errorf("%+v", c)
	}
	if c := doc.Clips[5]; c.File != "to.wav" || len(c.Faults) != 1 || c.Faults[0].Kind != faults.Unreadable || c.Faults[0].Measured == nil {
		t.Errorf("%+v", c)
	}
	if status := run(context.Background(), []string{"clips", filepath.Join(dir, "nowhere")}, new(bytes.Buffer), new(bytes.Buffer)); status != cli.Failed {
		t.Errorf("a folder that is not there: status %d", status)
	}
}
