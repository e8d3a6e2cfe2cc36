package track

import (
	"fmt"
	"slices"
	"testing"
	"testing/fstest"

	"cuewright/cues/phrase"
	"cuewright/samples"
)

// TestTakes: the takes of one recording are used in turn, never the same twice
// running, and repeatably; the sentence is never longer than it was planned to be.
func TestTakes(t *testing.T) {
	demo := samples.Voice()
	folder := fstest.MapFS{}
	for name, from := range map[string]string{"go.flac": "now.flac", "go.2.flac": "one.flac", "go.3.flac": "seconds.flac", "left.flac": "left.flac"} {
		f, err := demo.Open(from)
		if err != nil {
			t.Fatal(err)
		}
		info, _ := f.Stat()
		data := make([]byte, info.Size())
		if _, err := f.Read(data); err != nil {
			t.Fatal(err)
		}
		f.Close()
		folder[name] = &fstest.MapFile{Data: data}
	}
	var runs []string
	for range 2 {
		s, err := OpenSpeaker(t.Context(), folder, phrase.English(), demoTrack(t), "")
		if err != nil {
			t.Fatal(err)
		}
		var used []string
		for range 7 {
			p := s.Select("go left")
			if longest, missing := s.Measure("go left"); len(missing) > 0 || p.Length > longest.Length {
				t.Errorf("performed in %v, planned for %v", p.Length, longest.Length)
			}
			used = append(used, p.Clips[0])
		}
		runs = append(runs, fmt.Sprint(used))
		for i := 1; i < len(used); i++ {
			if used[i] == used[i-1] {
				t.Errorf("%s twice running", used[i])
			}
		}
		if slices.Sort(used); len(slices.Compact(used)) != 3 {
			t.Errorf("not all takes are used: %v", runs)
		}
	}
	if runs[0] != runs[1] {
		t.Errorf("two runs: %v", runs)
	}
}
