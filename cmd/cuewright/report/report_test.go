package report

import (
	"strings"
	"testing"

	"cuewright/plan/problem"
)

// TestSanitise: no name of a file reaches the terminal as an order to it.
func TestSanitise(t *testing.T) {
	var b strings.Builder
	Problems(&b, []problem.Problem{{Severity: problem.Warning, Kind: "recording", File: "go\x1b[2J\u202e.wav", Message: "é is fine"}})
	if want := "go\ufffd[2J\ufffd.wav: warning: recording: é is fine\n"; b.String() != want {
		t.Errorf("%q, want %q", b.String(), want)
	}
}
