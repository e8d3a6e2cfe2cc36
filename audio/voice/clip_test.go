package voice

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"testing/fstest"

	"cuewright/audio"
	"cuewright/audio/speech/speechtest"
)

// loudestOfK is an own meter at 48 kHz: the K-weighting coefficients as printed in
// ITU-R BS.1770-5, the loudest window every 10 ms with silence on both sides.
func loudestOfK(samples []float32, seconds float64) float64 {
	size := int(seconds * 48000)
	x := make([]float64, size+len(samples)+size)
	for i, v := range samples {
		x[size+i] = float64(v)
	}
	for _, c := range [][5]float64{
		{1.53512485958697, -2.69169618940638, 1.19839281085285, -1.69065929318241, 0.73248077421585},
		{1, -2, 1, -1.99004745483398, 0.99007225036621},
	} {
		var x1, x2, y1, y2 float64
		for i, v := range x {
			y := c[0]*v + c[1]*x1 + c[2]*x2 - c[3]*y1 - c[4]*y2
			x2, x1, y2, y1 = x1, v, y1, y
			x[i] = y
		}
	}
	best := math.Inf(-1)
	for i := 0; i+size <= len(x); i += 480 {
		best = max(best, -0.691+20*math.Log10(speechtest.RMS(x[i:i+size])))
	}
	return best
}

// clipOf prepares one recording.
func clipOf(t testing.TB, rate audio.Rate, opt Options, channels ...[]float64) *Clip {
	t.Helper()
	v := open(t, fstest.MapFS{"a.wav": {Data: wavOf(rate, channels...)}}, opt)
	s, _ := v.Speak("a")
	if len(s.Parts) == 0 {
		t.Fatalf("%+v", v.Faults())
	}
	return v.Lay(s, nil)[0].Clip
}

// Words of any level and DC come out at Level, free of DC, faded, with their
// speech between Lead and Tail.
func TestClips(t *testing.T) {
	for seed := range uint64(40) {
		rng := rand.New(rand.NewPCG(seed, 11))
		rate := []audio.Rate{8000, 16000, 22050, 44100, 48000, 96000}[rng.IntN(6)]
		shape := speechtest.Shapes[rng.IntN(len(speechtest.Shapes))]
		w := speechtest.Say(rate, 100+100*rng.Float64(), rng, speechtest.Words[shape]...)
		x := w.Padded(0.4, 0.4)
		onset := w.Onset + 0.4
		from, to := speechtest.Bounds(x, rate)
		speechtest.Add(x, speechtest.Noise(len(x), speechtest.RMS(w.X)*1e-3, rng), 0)
		gain, dc := math.Pow(10, (12-24*rng.Float64())/20), 0.04*rng.Float64()-0.02
		for i := range x {
			x[i] = x[i]*gain + dc
		}
		presence := float64(6 * rng.IntN(2))
		c := clipOf(t, rate, Options{Presence: presence}, x)
		name := fmt.Sprintf("seed %d, %s at %d Hz, presence %v", seed, shape, rate, presence)

		if c.Lead != 480 || c.Tail != 1440 || c.Words != 1 {
			t.Errorf("%s: lead %d, tail %d, %d words", name, c.Lead, c.Tail, c.Words)
		}
		if got, want := float64(c.speech())/48000, float64(to-from)/float64(rate); math.Abs(got-want) > 0.060 {
			t.Errorf("%s: %.3f s of speech, %.3f said", name, got, want)
		}
		long, short := loudestOfK(c.Samples, 0.4), loudestOfK(c.Samples, 0.2)-2
		if got := max(long, short); math.Abs(got-Level) > 0.3 {
			t.Errorf("%s: %.2f LUFS", name, got)
		}
		y := double(c.Samples)
		var sum float64
		for _, v := range y {
			sum += v
		}
		if mean := sum / float64(len(y)); math.Abs(mean) > 0.001 {
			t.Errorf("%s: DC %.4f", name, mean)
		}
		if edge := max(math.Abs(y[0]), math.Abs(y[len(y)-1])); edge > 1e-4 {
			t.Errorf("%s: an edge at %.6f", name, edge)
		}
		// The beat of a word lies near its vowel; nasals count in part.
		if beat := float64(c.Beat-c.Lead)/48000 + float64(from)/float64(rate); math.Abs(beat-onset) > 0.060 {
			t.Errorf("%s: beat at %.3f s, vowel at %.3f", name, beat, onset)
		}
	}
}

// A voice that comes with 6 dB of spread leaves with 1.2 at most.
func TestLevelsMatch(t *testing.T) {
	var before, after []float64
	for seed := range uint64(60) {
		rng := rand.New(rand.NewPCG(seed, 12))
		w := speechtest.Say(48000, 100+100*rng.Float64(), rng, speechtest.Words[speechtest.Shapes[rng.IntN(len(speechtest.Shapes))]]...)
		x := w.Padded(0.3, 0.3)
		speechtest.Scale(x, 0.02*math.Pow(10, 6*rng.NormFloat64()/20))
		before = append(before, loudestOfK(single(x), 0.4))
		after = append(after, loudestOfK(clipOf(t, 48000, Options{}, x).Samples, 0.4))
	}
	if b, a := deviation(before), deviation(after); b < 5 || a > 1.2 {
		t.Errorf("%.2f dB before, %.2f after", b, a)
	}
}

func deviation(x []float64) float64 {
	var mean, sum float64
	for _, v := range x {
		mean += v / float64(len(x))
	}
	for _, v := range x {
		sum += (v - mean) * (v - mean)
	}
	return math.Sqrt(sum / float64(len(x)))
}

// A recording that starts and ends with the speech gets silence around it, and
// no click.
func TestTightClip(t *testing.T) {
	w := speechtest.Say(16000, 120, rand.New(rand.NewPCG(13, 13)), speechtest.Vowel(400, 700, 1200, 2500))
	c := clipOf(t, 16000, Options{}, w.X[800:5600])
	if c.Lead != 480 || c.Tail != 1440 || len(c.Samples) != 480+3*4800+1440 {
		t.Fatalf("lead %d, tail %d, %d samples", c.Lead, c.Tail, len(c.Samples))
	}
	if got := speechtest.RMS(double(c.Samples[:400])); got > 1e-4 {
		t.Errorf("%g before the speech", got)
	}
	var within float64
	for i := 2400; i < 12000; i++ {
		within = max(within, math.Abs(float64(c.Samples[i]-c.Samples[i-1])))
	}
	for i := 1; i < len(c.Samples); i++ {
		if step := math.Abs(float64(c.Samples[i] - c.Samples[i-1])); step > within*1.05 {
			t.Fatalf("a step of %.4f at %d, %.4f within", step, i, within)
		}
	}
}

// DC leaves no trace, not even where there is no silence for it to die away in.
func TestClipWithDC(t *testing.T) {
	w := speechtest.Say(16000, 120, rand.New(rand.NewPCG(17, 17)), speechtest.Vowel(400, 700, 1200, 2500))
	x := w.X[800:5600]
	shifted := append([]float64(nil), x...)
	for i := range shifted {
		shifted[i] += 0.25
	}
	want, got := clipOf(t, 16000, Options{}, x), clipOf(t, 16000, Options{}, shifted)
	if len(got.Samples) != len(want.Samples) {
		t.Fatalf("%d samples, want %d", len(got.Samples), len(want.Samples))
	}
	for i := range want.Samples {
		if d := math.Abs(float64(got.Samples[i] - want.Samples[i])); d > 1e-4 {
			t.Fatalf("sample %d is %.5f off", i, d)
		}
	}
}

// The room's noise is faded out over 30 ms and not cut off.
func TestFadeOut(t *testing.T) {
	rng := rand.New(rand.NewPCG(18, 18))
	w := speechtest.Say(48000, 120, rng, speechtest.Vowel(400, 700, 1200, 2500))
	x := w.Padded(0.5, 0.5)
	room := speechtest.Noise(len(x), speechtest.RMS(w.X)*0.01, rng)
	speechtest.Add(x, room, 0)
	c := clipOf(t, 48000, Options{}, x)
	tail := double(c.Samples[len(c.Samples)-1440:])
	audio.HighPass(48000, 2000).Filter(tail) // the vowel's last breath lies lower
	half, last := speechtest.RMS(tail[480:960]), speechtest.RMS(tail[1200:])
	if db := 20 * math.Log10(last/half); db > -12 { // by the ramp: about -25 dB
		t.Errorf("the last 5 ms lie %.1f dB under the middle of the tail", db)
	}
}

// Where clips of a quiet room meet, nothing is heard above 5 kHz.
func TestJoinsAreClean(t *testing.T) {
	fsys := fstest.MapFS{}
	for i, name := range []string{"a", "b", "c"} {
		rng := rand.New(rand.NewPCG(uint64(i), 14))
		w := speechtest.Say(48000, 110+20*float64(i), rng, speechtest.Hum, speechtest.Vowel(300, 700, 1200, 2500), speechtest.Hum)
		x := w.Padded(0.3, 0.3)
		speechtest.Add(x, speechtest.Noise(len(x), 1e-5, rng), 0)
		for j := range x {
			x[j] += 0.02 // of DC
		}
		fsys[name+".wav"] = &fstest.MapFile{Data: wavOf(48000, x)}
	}
	v := open(t, fsys, Options{Tight: []string{"a", "b"}})
	s, _ := v.Speak("a b c, a. b")
	mix := make([]float64, rate48.Frame(s.Length)+9600)
	var joins []int64
	for _, p := range v.Lay(s, nil) {
		speechtest.Add(mix, double(p.Clip.Samples), int(p.Offset)+4800)
		joins = append(joins, p.Offset, p.Offset+int64(len(p.Clip.Samples)))
	}
	for range 3 {
		audio.HighPass(48000, 5000).FiltFilt(mix)
	}
	for _, j := range joins {
		for i := j + 4800 - 240; i < j+4800+240; i++ { // 5 ms on both sides
			if db := 20 * math.Log10(math.Abs(mix[i])); db > -70 {
				t.Fatalf("%.1f dBFS at the join at %d", db, j)
			}
		}
	}
}

func TestFaults(t *testing.T) {
	t.Setenv("PATH", "") // without ffmpeg
	fsys := folder(16000, "good.wav", "low.wav", "bad.wav")
	w := speechtest.Say(8000, 120, rand.New(rand.NewPCG(15, 15)), speechtest.Words["nine"]...).Padded(0.2, 0.2)
	six := [][]float64{w, w, w, w, w, w}
	good := fsys["good.wav"].Data
	file := func(data []byte) *fstest.MapFile { return &fstest.MapFile{Data: data} }
	fsys["empty.wav"] = file(nil)
	fsys["text.wav"] = file([]byte("not a sound at all, only words about one"))
	fsys["header.wav"] = file(append([]byte("RIFF\xff\xff\xff\xffWAVEfmt \xff\xff\xff\x7f"), make([]byte, 30)...))
	fsys["silence.wav"] = file(wavOf(16000, make([]float64, 16000)))
	fsys["good-low.wav"] = file([]byte("RIFF"))
	fsys["phone.M4A"] = file([]byte("...."))
	fsys["--.wav"] = file(good)
	fsys["truncated.wav"] = file(good[:len(good)*8/10])
	fsys["six.wav"] = file(wavOf(8000, six...))
	fsys["dead.wav"] = file(wavOf(8000, w, make([]float64, len(w))))
	fsys["notes.txt"] = file([]byte("ignored"))
	fsys[".hidden.wav"] = file([]byte("ignored"))
	fsys["sub/good.wav"] = file([]byte("ignored"))
	v := open(t, fsys, Options{})
	if got := v.Faults(); len(got) != 2 || got[0].File != "--.wav" || got[1].File != "phone.M4A" || !strings.Contains(got[1].Message, "install ffmpeg") {
		t.Errorf("at first: %+v", got)
	}

	if s, missing := v.Speak("good low"); s.texts() != "good|low" || missing != nil {
		t.Errorf("%q, missing %q", s.texts(), missing)
	}
	for _, unusable := range []string{"empty", "text", "header", "silence", "phone"} {
		if _, missing := v.Speak("good " + unusable); len(missing) != 1 || missing[0] != unusable || v.Has(unusable) {
			t.Errorf("%s: missing %q", unusable, missing)
		}
	}
	for _, usable := range []string{"truncated", "six", "dead"} {
		if s, missing := v.Speak(usable); missing != nil || len(s.Parts) != 1 || !v.Has(usable) {
			t.Errorf("%s: missing %q", usable, missing)
		}
	}
	want := map[string]bool{"--.wav": true, "phone.M4A": true, "empty.wav": true, "text.wav": true, "header.wav": true,
		"silence.wav": true, "good-low.wav": true, "truncated.wav": false, "six.wav": false, "dead.wav": false}
	before := ""
	for _, f := range v.Faults() {
		unusable, known := want[f.File]
		if !known || unusable != f.Unusable || f.Message == "" || strings.Contains(f.Message, f.File) || f.File < before {
			t.Errorf("%+v", f)
		}
		before = f.File
		t.Logf("%s: %s", f.File, f.Message)
	}
	seen := map[string]bool{}
	for _, f := range v.Faults() {
		seen[f.File] = true
	}
	for f := range want {
		if !seen[f] {
			t.Errorf("%s: no fault", f)
		}
	}
}

func TestOpenErrors(t *testing.T) {
	if v, err := Open(fstest.MapFS{}, Options{Rate: 48000}); err != nil || v.Len() != 0 {
		t.Error("an empty folder:", err)
	}
}

// Preparing 130 s of speech at 16 kHz in 150 recordings, decoding apart.
func BenchmarkPrepare(b *testing.B) {
	var sounds []audio.Sound
	for i := range 150 {
		rng := rand.New(rand.NewPCG(uint64(i), 16))
		w := speechtest.Say(16000, 100+float64(i), rng, speechtest.Words[speechtest.Shapes[i%len(speechtest.Shapes)]]...)
		x := w.Padded(0.2, 130./150-0.2-w.Seconds)
		speechtest.Add(x, speechtest.Noise(len(x), 1e-4, rng), 0)
		sounds = append(sounds, audio.Sound{Rate: 16000, Samples: single(x)})
	}
	v := open(b, fstest.MapFS{}, Options{Presence: 6})
	for b.Loop() {
		for _, s := range sounds {
			if _, _, err := v.prepare(s); err != nil {
				b.Fatal(err)
			}
		}
	}
}
