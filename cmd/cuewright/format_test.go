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
		want  = "51cdf09ead5ac63e082d62a8a82515d577bc11cc30e8ee7162e093a3bcd045e2"
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
