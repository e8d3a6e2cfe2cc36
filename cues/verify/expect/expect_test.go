package expect

import (
	"testing"
	"time"

	"pgregory.net/rapid"

	"cuewright/audio"
)

// TestFrame compares this room's arithmetic of frames with the one that tracks are made
// with: two ways to count, which must agree.
func TestFrame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rate := rapid.SampledFrom([]audio.Rate{16000, 22050, 44100, 48000, 96000}).Draw(t, "rate")
		e := &Expected{Rate: rate}
		at := time.Duration(rapid.Int64Range(0, int64(13*time.Hour)).Draw(t, "at"))
		if got, want := e.Frame(at), rate.Frame(at); got != want {
			t.Fatalf("%v is frame %d here, %d there", at, got, want)
		}
		n := rapid.Int64Range(0, 13*3600*96000).Draw(t, "frames")
		if by := e.Time(n) - rate.Length(n); by < -1 || by > 1 {
			t.Fatalf("%d frames last %v here, %v there", n, e.Time(n), rate.Length(n))
		}
	})
}
