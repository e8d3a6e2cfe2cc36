package main

import (
	"os/exec"
	"slices"
	"strings"
	"testing"
)

// arrows are all imports between rooms: data flows one way, audio knows nothing
// of running, plan nothing of sound, and what is not written here is wrong.
var arrows = map[string]string{
	"audio":                   "",
	"audio/bed":               "audio audio/decode audio/loudness",
	"audio/draft":             "",
	"audio/decode":            "audio audio/wav",
	"audio/encode":            "audio audio/decode audio/wav",
	"audio/faults":            "audio audio/decode audio/speech audio/voice",
	"audio/flac":              "audio audio/wav",
	"audio/listen":            "audio",
	"audio/loudness":          "audio",
	"audio/mix":               "audio audio/loudness",
	"audio/speech":            "audio audio/loudness",
	"audio/speech/speechtest": "audio",
	"audio/voice":             "audio audio/decode audio/speech",
	"audio/wav":               "audio",
	"plan":                    "plan/strict",
	"plan/advise":             "plan plan/effort plan/strict",
	"plan/effort":             "plan plan/strict",
	"plan/strict":             "",
	"samples":                 "",
	"cues":                    "cues/phrase cues/place plan plan/strict",
	"cues/check":              "cues cues/phrase plan plan/strict",
	"cues/edit":               "cues cues/export plan plan/strict",
	"cues/export":             "audio cues plan plan/effort",
	"cues/phrase":             "plan plan/strict",
	"cues/place":              "",
	"cues/script":             "cues cues/phrase plan",
	"cues/track":              "audio audio/bed audio/encode audio/flac audio/loudness audio/mix audio/voice audio/wav cues cues/phrase plan",
	"cues/verify":             "audio audio/decode audio/listen audio/loudness audio/wav cues plan",
	"cmd/cuewright/page":      "cues cues/export plan plan/effort",
	"cmd/cuewright":           "cmd/cuewright/page audio audio/bed audio/decode audio/draft audio/encode audio/faults audio/voice audio/wav cues cues/check cues/edit cues/export cues/phrase cues/script cues/track cues/verify plan plan/advise plan/effort plan/strict samples",
}

func TestShape(t *testing.T) {
	out, err := exec.Command("go", "list", "-f", "{{.ImportPath}}:{{join .Imports \" \"}}", "cuewright/...").Output()
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	for line := range strings.Lines(string(out)) {
		room, imports, _ := strings.Cut(strings.TrimSpace(line), ":")
		room = strings.TrimPrefix(room, "cuewright/")
		seen[room] = true
		allowed := strings.Fields(arrows[room])
		for _, i := range strings.Fields(imports) {
			if inner, ok := strings.CutPrefix(i, "cuewright/"); ok && !slices.Contains(allowed, inner) {
				t.Errorf("%s imports %s: if that is right, write it into the map above", room, inner)
			}
		}
		if _, ok := arrows[room]; !ok {
			t.Errorf("%s is a new room: write it into the map above", room)
		}
	}
	for room := range arrows {
		if !seen[room] {
			t.Errorf("there is no room %s any more", room)
		}
	}
}
