package track

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"testing"

	"cuewright/audio"
	"cuewright/audio/bed"
	"cuewright/audio/loudness"
	"cuewright/cues"
	"cuewright/cues/phrase"
	"cuewright/plan"
	"cuewright/plan/class"
)

// music is 40 s of filtered noise that swells, as a raw WAV file of two channels.
func music(t *testing.T) string {
	t.Helper()
	const rate, seconds = 44100, 40
	rng := rand.New(rand.NewPCG(8, 8))
	le := binary.LittleEndian
	data := make([]byte, 0, rate*seconds*4)
	var low [2]float64
	for i := range rate * seconds {
		for c := range low {
			low[c] += 0.05 * (rng.Float64() - 0.5 - low[c])
			data = le.AppendUint16(data, uint16(int16(20000*low[c]*(1+0.5*math.Sin(float64(i)/9000)))))
		}
	}
	head := append([]byte("RIFF"), le.AppendUint32(nil, uint32(36+len(data)))...)
	head = append(head, "WAVEfmt \x10\x00\x00\x00\x01\x00\x02\x00"...)
	head = le.AppendUint32(head, rate)
	head = le.AppendUint32(head, rate*4)
	head = append(head, "\x04\x00\x10\x00data"...)
	head = le.AppendUint32(head, uint32(len(data)))
	path := filepath.Join(t.TempDir(), "tide.wav")
	if err := os.WriteFile(path, append(head, data...), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// ebur128 measures frames of one channel with ffmpeg, as heard from two speakers:
// integrated loudness in LUFS and, where it is asked for, true peak in dBTP, which takes long.
func ebur128(t *testing.T, samples []float32, rate int, peaks bool) (integrated, peak float64) {
	t.Helper()
	in := make([]byte, 0, 8*len(samples))
	for _, x := range samples {
		bits := math.Float32bits(x)
		in = binary.LittleEndian.AppendUint32(binary.LittleEndian.AppendUint32(in, bits), bits)
	}
	filter := ""
	if peaks {
		filter = "=peak=true"
	}
	cmd := exec.Command("ffmpeg", "-v", "info", "-nostats", "-f", "f32le", "-ac", "2", "-ar", fmt.Sprint(rate), "-i", "pipe:0",
		"-af", "ebur128"+filter, "-f", "null", "-")
	cmd.Stdin = bytes.NewReader(in)
	said, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("%v: %s", err, said)
	}
	last := func(pattern string) float64 {
		found := regexp.MustCompile(pattern).FindAllSubmatch(said, -1)
		if found == nil {
			t.Fatalf("no %s in %s", pattern, said)
		}
		v, err := strconv.ParseFloat(string(found[len(found)-1][1]), 64)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	integrated = last(`I:\s+(-?[\d.]+) LUFS`)
	if peaks {
		peak = last(`Peak:\s+(-?[\d.]+) dBFS`)
	}
	return integrated, peak
}

// TestLoudnessOfAllForms: in every rate, width and number of channels, with a click,
// music, both or neither, the calls of the written file are within 0.1 LU of the
// target by our meter and within 0.3 by ffmpeg's, and the true peaks of the whole file
// under the ceiling by both.
func TestLoudnessOfAllForms(t *testing.T) {
	if testing.Short() {
		t.Skip("measures, which the race detector makes ten times as slow")
	}
	_, err := exec.LookPath("ffmpeg")
	outside := err == nil
	if !outside {
		t.Log("ffmpeg is not installed: measured by our own meter only")
	}
	tide, dir := music(t), t.TempDir()
	for i, rate := range []int{16000, 22050, 44100, 48000, 96000} {
		for k, sound := range []string{"", "click", "bed", "click and bed"} {
			if rate != 48000 && k != (i+1)%4 {
				continue // all sounds at the usual rate, one of them at each other
			}
			bits, channels := 16+8*(i%2), 1+(i+k)%2
			target := []float64{-16, -18, -14.5}[(i+k)%3]
			peak := []float64{-1, -1.5}[k%2]
			text := fmt.Sprintf("class: Loud\nunits: km/h\ntrack: {rate: %d, bits: %d, channels: %d, loudness: %v, peak: %v}\n", rate, bits, channels, target, peak)
			ceiling := peak
			cadence := ""
			if k == 1 || k == 3 {
				cadence = ", cadence: 172"
			}
			if k >= 2 {
				text += "bed: {file: tide.wav}\n"
			}
			text += fmt.Sprintf("calls: {opening: 8s, closing: 4s}\nmain:\n  - {speed: 8%[1]s, for: 12s}\n  - {speed: 9%[1]s, for: 10s}\n", cadence)
			name := fmt.Sprintf("%d Hz, %d bit, %d channels, %s", rate, bits, channels, sound)

			p, problems := plan.Read("x.yaml", []byte(text))
			if len(problems) > 0 {
				t.Fatal(problems)
			}
			c, _ := class.Unfold(p)
			s := demoSpeaker(t, p.Track)
			l := s.Schedule(c, phrase.English())
			var under *bed.Bed
			if k >= 2 {
				_, length := c.TrackSpan()
				if under, err = bed.Prepare(t.Context(), tide, audio.Rate(rate), audio.Rate(rate).Frame(length), dir); err != nil {
					t.Fatal(err)
				}
				defer under.Close()
			}
			path := filepath.Join(dir, "x.wav")
			out, err := os.Create(path)
			if err != nil {
				t.Fatal(err)
			}
			track := New(l, s, WAV, under)
			if err := track.Write(context.Background(), out, nil); err != nil {
				t.Fatal(err)
			}
			out.Close()
			f := readFile(t, path)
			all := make([]float32, len(f.samples))
			for i, v := range f.samples {
				all[i] = float32(float64(v) / float64(int64(1)<<(bits-1)))
			}
			var spoken []float32
			start, _ := c.TrackSpan()
			for _, cue := range l.Cues {
				if cue.Lane == cues.Speech {
					spoken = append(spoken, all[nearest(start+cue.Start, rate):nearest(start+cue.End(), rate)]...)
				}
			}
			meter := loudness.NewMeter(audio.Rate(rate), 2)
			meter.Add(spoken)
			got := meter.Integrated()
			if held := track.Master.Held; held && target == -14.5 && got < target {
				// The ceiling does not let this voice be so loud, and the track says so.
				target = got
			}
			if math.Abs(got-target) > 0.1 {
				t.Errorf("%s: the calls are at %.2f LUFS, want %.1f (held: %v)", name, got, target, track.Master.Held)
			}
			var peaks loudness.PeakMeter
			peaks.Add(all)
			if got := 20 * math.Log10(peaks.Peak()); got > ceiling {
				t.Errorf("%s: %.2f dBTP, want at most %.1f", name, got, ceiling)
			}
			if !outside {
				continue
			}
			if got, _ := ebur128(t, spoken, rate, false); math.Abs(got-target) > 0.3 {
				t.Errorf("%s: ffmpeg hears the calls at %.1f LUFS, want %.1f", name, got, target)
			}
			// It tells tenths.
			if _, got := ebur128(t, all, rate, true); got > ceiling+0.05 {
				t.Errorf("%s: ffmpeg finds %.1f dBTP, want at most %.1f", name, got, ceiling)
			}
		}
	}
}
