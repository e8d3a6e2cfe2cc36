package voice

import (
	"strings"
	"testing"
	"testing/fstest"
)

// TestCheckName says what is wrong with the names that voice.yaml gives.
func TestCheckName(t *testing.T) {
	fsys := fstest.MapFS{}
	for _, name := range []string{"Recording 14.wav", "Recording 15.m4a", "notes.txt", "voice.yaml", "e\u0301te\u0301.wav"} {
		fsys[name] = &fstest.MapFile{}
	}
	for _, x := range []struct {
		name, text, want string
		ofText           bool
	}{
		{"Recording 14.wav", "run tall", "", false},
		{"Recording 15.m4a", "5", "", false},
		{"\u00e9t\u00e9.wav", "summer", "", false}, // stored decomposed, named as it is typed
		{"gone.wav", "gone", `there is no file "gone.wav"`, false},
		{"../x.wav", "x", `"../x.wav" lies outside the folder`, false},
		{`a\b.wav`, "x", "lies outside the folder", false},
		{"notes.txt", "x", `"notes.txt" is no recording`, false},
		{"Recording 14.wav", "...", `"..." has no words`, true},
	} {
		what, ofText, err := CheckName(fsys, x.name, x.text)
		if err != nil || !strings.Contains(what, x.want) || x.want == "" && what != "" || ofText != x.ofText {
			t.Errorf("%s: %q, of the text %v, %v", x.name, what, ofText, err)
		}
	}
}
