package encode

import (
	"cuewright/audio"
	"fmt"
	"strings"
)

// metadata is title, artist and chapters as ffmpeg reads them (FFmpeg Formats
// Documentation, "Metadata"; testdata/reference/captions/chapters.ffmeta).
func metadata(f audio.FileInfo) string {
	var out strings.Builder
	out.WriteString(";FFMETADATA1\n")
	line := func(key, text string) {
		if text != "" {
			fmt.Fprintf(&out, "%s=%s\n", key, escaped.Replace(text))
		}
	}
	line("title", f.Title)
	line("artist", f.Artist)
	for i, m := range f.Markers {
		end := f.Frames
		if i+1 < len(f.Markers) {
			end = f.Markers[i+1].Frame
		}
		fmt.Fprintf(&out, "[CHAPTER]\nTIMEBASE=1/%d\nSTART=%d\nEND=%d\n", f.Rate, m.Frame, end)
		line("title", m.Label)
	}
	return out.String()
}

// escaped puts a backslash before what means something there.
var escaped = strings.NewReplacer(`\`, `\\`, "=", `\=`, ";", `\;`, "#", `\#`, "\n", "\\\n")
