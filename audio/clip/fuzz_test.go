package clip

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"cuewright/audio"
	"cuewright/audio/decode"
	"cuewright/audio/speech/speechtest"
)

// FuzzPrepare takes files the whole way of a recording: whatever can be decoded
// becomes a clip of sound at the wanted rate, as long as it was, or an error.
func FuzzPrepare(f *testing.F) {
	rng := rand.New(rand.NewPCG(1, 17))
	for i, rate := range []audio.Rate{8000, 11025, 16000, 22050, 44100, 48000, 192000} {
		w := speechtest.Say(rate, 120, rng, speechtest.Words[speechtest.Shapes[i]]...)
		x := w.Padded(0.05, 0.05)
		f.Add(speechtest.WAV(rate, x[:min(len(x), 8000)]), uint8(i))
		f.Add(speechtest.WAV(rate, x[:min(len(x), 3000)], make([]float64, min(len(x), 3000))), uint8(i))
		x[2000] = 3e38 // whose sums are without end
		f.Add(speechtest.WAV(rate, x[:min(len(x), 8000)]), uint8(i))
	}
	for _, kind := range []string{"wav/*.wav", "mp3/*.mp3", "flac/*.flac"} {
		files, _ := filepath.Glob("../../testdata/cases/" + kind)
		for _, path := range files {
			if data, err := os.ReadFile(path); err == nil && len(data) < 20_000 {
				f.Add(data, uint8(0))
			}
		}
	}
	rates := []audio.Rate{48000, 44100, 32000, 96000}
	f.Fuzz(func(t *testing.T, data []byte, how uint8) {
		decoded, err := decode.Bytes("clip", data)
		if err != nil || len(decoded.Samples) > 200_000 {
			return
		}
		sound, _ := decoded.Mono()
		to := rates[how%4]
		m := NewMaker(to, float64(how/4%2*6), "")

		whole := audio.Resample(sound, to)
		n := int64(len(sound.Samples))
		if want := (n*int64(to) + int64(sound.Rate) - 1) / int64(sound.Rate); int64(len(whole.Samples)) != want {
			t.Errorf("%d samples at %d became %d at %d, want %d", n, sound.Rate, len(whole.Samples), to, want)
		}
		clip, _, err := m.prepare(sound)
		if err != nil {
			return
		}
		if clip.Speech() <= 0 || clip.Beat < 0 || clip.Beat > int64(len(clip.Samples)) {
			t.Errorf("%d samples, lead %d, tail %d, beat %d", len(clip.Samples), clip.Lead, clip.Tail, clip.Beat)
		}
		if limit := len(whole.Samples) + int(clip.Lead+clip.Tail) + 8; len(clip.Samples) > limit {
			t.Errorf("%d samples of a recording of %d", len(clip.Samples), len(whole.Samples))
		}
		for i, x := range clip.Samples {
			if x-x != 0 {
				t.Fatalf("sample %d is no number", i)
			}
		}
		again, _, ok := parseEntry(formatEntry(clip, nil))
		if !ok || again.Beat != clip.Beat || len(again.Samples) != len(clip.Samples) {
			t.Error("the cache does not take the clip")
		}
	})
}
