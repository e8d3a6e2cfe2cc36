package track

import (
	"context"
	"io"
	"os"
	"path/filepath"
	"testing"

	"cuewright/cues/phrase"
	"cuewright/plan"
	"cuewright/plan/class"
	"cuewright/samples"
)

// BenchmarkRender mixes, masters and writes the demo class, its voice decoded.
func BenchmarkRender(b *testing.B) {
	data, err := samples.Plan("harbour-steps")
	if err != nil {
		b.Fatal(err)
	}
	p, _ := plan.Read("x.yaml", data)
	c, _ := class.Unfold(p)
	speaker, err := OpenSpeaker(b.Context(), samples.Voice(), phrase.English(), p.Track, "")
	if err != nil {
		b.Fatal(err)
	}
	l := speaker.Schedule(c, phrase.English())
	path := filepath.Join(b.TempDir(), "x.wav")
	for b.Loop() {
		f, err := os.Create(path)
		if err != nil {
			b.Fatal(err)
		}
		if err := New(l, speaker, WAV, nil).Write(context.Background(), f, nil); err != nil {
			b.Fatal(err)
		}
		n, _ := f.Seek(0, io.SeekEnd)
		b.SetBytes(n)
		f.Close()
	}
}
