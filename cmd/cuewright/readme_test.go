package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestReadme runs the commands whose output the README shows: every line there is one
// that is printed.
func TestReadme(t *testing.T) {
	data, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir("../..")
	for _, command := range []string{
		"show samples/harbour-steps.yaml --mass 70kg",
		"cues samples/harbour-steps.yaml",
		"verify samples/harbour-steps.yaml harbour-steps.wav",
	} {
		_, rest, found := strings.Cut(string(data), "\n    $ cuewright "+command+"\n")
		if !found {
			t.Errorf("the README does not show %q", command)
			continue
		}
		args := strings.Fields(command)
		if args[0] == "verify" {
			if testing.Short() {
				continue
			}
			track := filepath.Join(t.TempDir(), args[2])
			output(t, "render", args[1], "-o", track)
			rest = strings.Replace(rest, args[2], track, 1)
			args[2] = track
		}
		printed := "\n" + output(t, args...)
		for line := range strings.Lines(rest) {
			shown, indented := strings.CutPrefix(line, "    ")
			if strings.HasPrefix(shown, "$") || !indented && line != "\n" {
				break
			}
			if indented && shown != "…\n" && !strings.Contains(printed, "\n"+shown) {
				t.Errorf("%s does not print %q", command, shown)
			}
		}
	}
}
