package track

import (
	"context"
	"io/fs"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"
	"testing/fstest"
	"time"

	"cuewright/cues/phrase"
	"cuewright/plan"
	"cuewright/plan/class"
	"cuewright/samples"
)

// TestCountedBeats measures on finished tracks that counted words fall with
// their beat on the second: within 15 ms by the definition this project uses
// (the last rise through half of the first clear voiced maximum of the 500-1500 Hz
// envelope), and within 30 ms (1 sd) by the model of Cummins and Port 1998, J Phonetics 26:145, Appendix A. Both are
// written here anew and share nothing with audio/speech.
func TestCountedBeats(t *testing.T) {
	voices := map[string]fs.FS{"demo": samples.Voice()}
	for name, speak := range map[string]func(text, file string) *exec.Cmd{
		"flite slt": func(text, file string) *exec.Cmd {
			return exec.Command("flite", "-voice", "slt", "-t", text, "-o", file)
		},
		"espeak-ng": func(text, file string) *exec.Cmd {
			return exec.Command("espeak-ng", "-v", "en-us", "-s", "140", "-w", file, text)
		},
	} {
		if v := spoken(t, speak); v != nil {
			voices[name] = v
		} else {
			t.Logf("%s is not installed: its voice was not measured", name)
		}
	}
	for name, v := range voices {
		t.Run(name, func(t *testing.T) { countedBeats(t, v) })
	}
}

// spoken is the demo voice with the words of the count spoken by another
// synthesiser, nil where that is not installed.
func spoken(t *testing.T, speak func(text, file string) *exec.Cmd) fs.FS {
	out := fstest.MapFS{}
	demo := samples.Voice()
	entries, err := fs.ReadDir(demo, ".")
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		data, err := fs.ReadFile(demo, e.Name())
		if err != nil {
			t.Fatal(err)
		}
		out[e.Name()] = &fstest.MapFile{Data: data}
	}
	for n := 1; n <= 10; n++ {
		word, _ := phrase.English().Cardinal(int64(n))
		file := filepath.Join(t.TempDir(), word+".wav")
		if speak(word, file).Run() != nil {
			return nil
		}
		data, err := os.ReadFile(file)
		if err != nil {
			return nil
		}
		delete(out, word+".flac")
		out[word+".wav"] = &fstest.MapFile{Data: data}
	}
	return out
}

// countedBeats counts from ten in a voice.
func countedBeats(t *testing.T, v fs.FS) {
	p, problems := plan.Read("x.yaml", []byte("class: X\nunits: km/h\ncalls: {count: {from: 10, with: words}, opening: 30s}\nmain: [{speed: 8, for: 60s}]\n"))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	c, _ := class.Unfold(p)
	s, err := OpenSpeaker(t.Context(), v, phrase.English(), p.Track, "")
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "x.wav")
	out, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := New(s.Schedule(c, phrase.English()), s, WAV, nil).Write(context.Background(), out, nil); err != nil {
		t.Fatal(err)
	}
	out.Close()
	f := readFile(t, path)
	var sum, squares, n float64
	for _, change := range []time.Duration{c.Opening, c.Opening + c.Length} {
		for k := 1; k <= 10; k++ {
			word, _ := phrase.English().Cardinal(int64(k))
			mark := nearest(change-time.Duration(k)*time.Second, f.rate)
			from, to := mark-f.rate*2/5, mark+f.rate*55/100
			x := make([]float64, to-from)
			for i := range x {
				x[i] = float64(f.samples[from+i])
			}
			at := float64(mark-from) / float64(f.rate)
			if beat := beatOf(x, f.rate); math.Abs(beat-at) > 0.015 {
				t.Errorf("the beat of %q is %.1f ms off its second", word, 1000*(beat-at))
			}
			off := cumminsPort(x, f.rate) - at
			sum, squares, n = sum+off, squares+off*off, n+1
		}
	}
	mean := sum / n
	if sd := math.Sqrt(squares/n - mean*mean); sd > 0.030 {
		t.Errorf("by the model of Cummins and Port the beats spread by %.1f ms (1 sd)", 1000*sd)
	} else {
		t.Logf("by the model of Cummins and Port: mean %.1f ms, sd %.1f ms", 1000*mean, 1000*sd)
	}
}

// section filters x forwards and, with both, backwards by a second-order
// section, with silence before and after.
func section(x []float64, b0, b1, b2, a1, a2 float64, both bool) []float64 {
	run := func(x []float64) []float64 {
		y := make([]float64, len(x))
		var x1, x2, y1, y2 float64
		for i, v := range x {
			y[i] = b0*v + b1*x1 + b2*x2 - a1*y1 - a2*y2
			x1, x2, y1, y2 = v, x1, y[i], y1
		}
		return y
	}
	reverse := func(x []float64) []float64 {
		y := make([]float64, len(x))
		for i, v := range x {
			y[len(x)-1-i] = v
		}
		return y
	}
	x = run(x)
	if both {
		x = reverse(run(reverse(x)))
	}
	return x
}

// bandPass, lowPass and highPass are Butterworth filters by the bilinear
// transform: a first-order prototype turned into a band, and second-order ones.
func bandPass(x []float64, low, high, rate float64, both bool) []float64 {
	wl, wh := math.Tan(math.Pi*low/rate), math.Tan(math.Pi*high/rate)
	width, centre := wh-wl, wl*wh
	d := 1 + width + centre
	return section(x, width/d, 0, -width/d, 2*(centre-1)/d, (1-width+centre)/d, both)
}

func lowPass(x []float64, hz, rate float64, both bool) []float64 {
	k := math.Tan(math.Pi * hz / rate)
	d := 1 + math.Sqrt2*k + k*k
	return section(x, k*k/d, 2*k*k/d, k*k/d, 2*(k*k-1)/d, (1-math.Sqrt2*k+k*k)/d, both)
}

func highPass(x []float64, hz, rate float64, both bool) []float64 {
	k := math.Tan(math.Pi * hz / rate)
	d := 1 + math.Sqrt2*k + k*k
	return section(x, 1/d, -2/d, 1/d, 2*(k*k-1)/d, (1-math.Sqrt2*k+k*k)/d, both)
}

func rectified(x []float64) []float64 {
	for i, v := range x {
		x[i] = math.Abs(v)
	}
	return x
}

// beatOf is the beat in seconds from the start of x.
func beatOf(x []float64, rate int) float64 {
	r := float64(rate)
	e := lowPass(rectified(lowPass(highPass(x, 500, r, true), 1500, r, true)), 25, r, true)
	top := 0.0
	for _, v := range e {
		top = max(top, v)
	}
	for i := 1; i+1 < len(e); i++ {
		if e[i] < 0.2*top || e[i] < e[i-1] || e[i] <= e[i+1] || !voiced(x, i, rate) {
			continue
		}
		k := i
		for k > 0 && e[k] > e[i]/2 {
			k--
		}
		return float64(k) / r
	}
	return math.NaN()
}

// voiced reports whether 40 ms around frame i repeat themselves at 70 to 400 Hz.
func voiced(x []float64, i, rate int) bool {
	n := rate / 25
	from := min(max(0, i-n/2), len(x)-2*n)
	y := lowPass(x[from:from+2*n], 1200, float64(rate), false)
	best := 0.0
	for lag := rate / 400; lag <= rate/70 && lag+n <= len(y); lag++ {
		var xy, xx, yy float64
		for k := range n {
			xy += y[k] * y[k+lag]
			xx += y[k] * y[k]
			yy += y[k+lag] * y[k+lag]
		}
		best = max(best, xy/math.Sqrt(xx*yy+1e-9))
	}
	return best > 0.65
}

// cumminsPort is the beat by their model: 700-1300 Hz, rectified, smoothed at
// 10 Hz (here without delay), and for every local rise, from the least value before
// it to its maximum, the middle of the points at 10 % and 90 %. The beat of a word
// is that of the first rise to a voiced maximum of at least half of the highest.
func cumminsPort(x []float64, rate int) float64 {
	r := float64(rate)
	e := lowPass(rectified(bandPass(x, 700, 1300, r, false)), 10, r, true)
	highest := slices.Max(e)
	top := 1
	for top < len(e)-2 && (e[top] < highest/2 || e[top] < e[top-1] || e[top] < e[top+1] || !voiced(x, top, rate)) {
		top++
	}
	foot := top
	for foot > 0 && e[foot-1] <= e[foot] {
		foot--
	}
	at := func(part float64) int {
		i := top
		for i > foot && e[i] > e[foot]+part*(e[top]-e[foot]) {
			i--
		}
		return i
	}
	return float64(at(0.1)+at(0.9)) / 2 / r
}
