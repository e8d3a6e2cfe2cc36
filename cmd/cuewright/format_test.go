package main

import (
	"crypto/sha256"
	"encoding/hex"
	"os"
	"path/filepath"
	"runtime"
	"testing"
)

// TestTrackFormat: whoever changes what the same plan and voice sound like, by a
// single step of a single sample, must count format up. Here stand the number and a
// stretch of the demo class that holds speech, tones and clicks.
func TestTrackFormat(t *testing.T) {
	if runtime.GOARCH != "amd64" {
		t.Skip("other processors differ in the last bits of a sum")
	}
	const (
		known = 3
		want  = "1f49e2b74afb5651322cab364a6cd14da3662cf9a3a9215b21e6ce1e0ec358a9"
	)
	track := filepath.Join(t.TempDir(), "stretch.wav")
	output(t, "render", "sample:harbour-steps", "--from", "5m", "--for", "3m", "-o", track)
	data, err := os.ReadFile(track)
	if err != nil {
		t.Fatal(err)
	}
	sum := sha256.Sum256(data)
	if got := hex.EncodeToString(sum[:]); got != want || format != known {
		t.Errorf("the track is %s, of format %d: if it is to sound otherwise, count format up and write both here", got, format)
	}
}
