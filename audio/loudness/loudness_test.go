package loudness

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"cuewright/audio"
)

type stage struct{ B0, B1, B2, A1, A2 float64 }

// constants are what BS.1770 itself prints.
func constants(t *testing.T) (c struct {
	At48 struct{ Stage1, Stage2 stage }    `json:"k_weighting_48k"`
	At44 struct{ Stage1, Stage2 stage }    `json:"k_weighting_44k1_derived"`
	Peak struct{ Phases [4][taps]float32 } `json:"true_peak"`
}) {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(reference, "bs1770_constants.json"))
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(data, &c); err != nil {
		t.Fatal(err)
	}
	return c
}

func TestKWeightingIsTheTable(t *testing.T) {
	c := constants(t)
	same := func(what string, got audio.Biquad, want stage) {
		t.Helper()
		for i, d := range []float64{got.B0 - want.B0, got.B1 - want.B1, got.B2 - want.B2, got.A1 - want.A1, got.A2 - want.A2} {
			if !(math.Abs(d) < 1e-12) {
				t.Errorf("%s: coefficient %d is off by %g", what, i, d)
			}
		}
	}
	shelf, pass := kWeighting(48000)
	same("shelf at 48 kHz", shelf, c.At48.Stage1)
	same("high-pass at 48 kHz", pass, c.At48.Stage2)
	shelf, pass = kWeighting(44100)
	same("shelf at 44.1 kHz", shelf, c.At44.Stage1)
	same("high-pass at 44.1 kHz", pass, c.At44.Stage2)
}

func TestInterpolatorIsTheTable(t *testing.T) {
	c := constants(t)
	for i := range taps {
		for p := range interpolator {
			if interpolator[p][i] != c.Peak.Phases[p][i] || interpolator[p][history-i] != c.Peak.Phases[3-p][i] {
				t.Errorf("tap %d of phase %d or its mirror differs", i, p)
			}
		}
	}
}

// BS.1770 page 7: a 997 Hz sine at full scale in one channel reads -3.01.
func TestCalibration(t *testing.T) {
	for _, rate := range []audio.Rate{8000, 22050, 44100, 48000, 96000, 192000} {
		x := make([]float32, 4*rate)
		for i := range x {
			x[i] = float32(math.Sin(2 * math.Pi * 997 / float64(rate) * float64(i)))
		}
		m := NewMeter(rate)
		m.Add(x)
		within := 0.01
		switch { // the bilinear transform bends the shelf a little near half the rate
		case rate < 16000:
			within = 0.2
		case rate != 48000:
			within = 0.05
		}
		near(t, "calibration", m.Integrated(), -3.01, within, within)
	}
}

// noise is white noise in bursts with silence between, the same on every run.
func noise(rate audio.Rate, seconds int) audio.Sound {
	random := rand.New(rand.NewPCG(1, 2))
	s := audio.Sound{Rate: rate, Samples: make([]float32, seconds*int(rate))}
	for i := range s.Samples {
		if i/(int(rate)/3)%3 != 2 {
			s.Samples[i] = float32(random.Float64() - 0.5)
		}
	}
	return s
}

func TestBlocksDoNotMatter(t *testing.T) {
	for _, rate := range []audio.Rate{11025, 22050, 48000} {
		s := noise(rate, 4)
		whole := NewMeter(rate)
		whole.Add(s.Samples)
		var wholePeak PeakMeter
		wholePeak.Add(s.Samples)
		for _, size := range []int{1, 7, 11, 12, 64, 479, 4096} {
			m := NewMeter(rate)
			var p PeakMeter
			for b := range slices.Chunk(s.Samples, size) {
				m.Add(b)
				p.Add(b)
			}
			sameFigures(t, fmt.Sprintf("in blocks of %d", size), m, whole, 1e-9)
			if p.Peak() != wholePeak.Peak() {
				t.Errorf("true peak in blocks of %d: %g, want %g", size, p.Peak(), wholePeak.Peak())
			}
		}
	}
}

func sameFigures(t *testing.T, what string, got, want *Meter, within float64) {
	t.Helper()
	near(t, "integrated "+what, got.Integrated(), want.Integrated(), within, within)
	near(t, "momentary "+what, got.MaxMomentary(), want.MaxMomentary(), within, within)
	near(t, "short-term "+what, got.MaxShortTerm(), want.MaxShortTerm(), within, within)
	near(t, "range "+what, got.Range(), want.Range(), within, within)
}

// What the published cases cannot tell apart: both gates from just above and just
// below, and both percentiles, by hand.
func TestGates(t *testing.T) {
	for what, c := range map[string]struct {
		want float64
		bars []bar
	}{
		"under -70 LUFS nothing counts": {-65, []bar{{20, -65}, {60, -71}}},
		"over -70 LUFS it does":         {-66.69, []bar{{20, -65}, {20, -69.5}}},
		"-36.2 is under -25.8 - 10":     {-23, []bar{{20, -23}, {20, -36.2}}},
		"-35.4 is over it":              {-25.77, []bar{{20, -23}, {20, -35.4}}},
	} {
		m := NewMeter(48000, 2)
		m.Add(sines(48000, c.bars...).Samples)
		near(t, what, m.Integrated(), c.want, 0.1, 0.1)
	}
	// Levels from -40 to -20 in equal shares: 0.95 - 0.10 of 20 LU.
	var rise []bar
	for i := range 400 {
		rise = append(rise, bar{1, -40 + float64(i)/20})
	}
	m := NewMeter(48000, 2)
	m.Add(sines(48000, rise...).Samples)
	near(t, "range of a rise", m.Range(), 17, 0.2, 0.2)
}

// A class is mostly digital silence. Told of it, a meter says what it says when it
// is given the zeros, and what a filter would that is never cut off.
func TestAddSilence(t *testing.T) {
	for _, weights := range [][]float64{{2}, {1, 1}} {
		told, given := NewMeter(44100, weights...), NewMeter(44100, weights...)
		var plain []float64 // energies of hops, from one filter over everything
		filter := newKFilter(44100)
		for i, gap := range []int{1, 440, 3000, 44100, 5 * 44100, 100} {
			sound := sines(44100, bar{0.9 + float64(i)/7, -30 + 4*float64(i)})
			both := channels(sound, slices.Repeat([]float64{1}, len(weights))...)
			told.Add(both)
			told.AddSilence(int64(gap))
			given.Add(both)
			given.Add(make([]float32, gap*len(weights)))
			for _, v := range append(sound.Samples, make([]float32, gap)...) {
				plain = append(plain, 2*filter.run([]float32{v}))
			}
		}
		sameFigures(t, "of silence told and given", told, given, 0)
		uncut := newMeter(44100, hop, weights, newWindow(momentaryTime), newWindow(shortTime))
		for _, energy := range plain {
			uncut.sum += energy
			uncut.advance(1)
		}
		sameFigures(t, "with the ring cut off", told, uncut, 1e-6)
	}
}

// A sound that is known, whole or piece by piece, reads as one that is added after
// some silence, wherever in a hop it begins.
func TestAddKnown(t *testing.T) {
	for _, rate := range []audio.Rate{11025, 44100, 48000} {
		voice := noise(rate, 3).Samples
		added, known, coarse := NewMeter(rate, 2), NewMeter(rate, 2), NewIntegrator(rate, 2)
		k := Prefilter(rate, voice)
		for _, pieces := range []float64{3, 0.1, 0.149, 1.2345} { // s
			for _, gap := range []int{1, 7, 333, 4801} {
				for _, m := range []*Meter{added, known, coarse} {
					m.Add(sines(rate, bar{0.1, -3}).Samples) // loud, to ring
					m.AddSilence(int64(gap) + int64(rate)*3/20)
				}
				added.Add(voice)
				for at, to := 0, 0; at < len(voice); at = to {
					to = min(len(voice), at+int(pieces*float64(rate)))
					known.AddPrefiltered(k, at, to)
					coarse.AddPrefiltered(k, at, to)
				}
			}
		}
		sameFigures(t, key("known", rate), known, added, 1e-9)
		near(t, key("integrated by steps of 100 ms", rate), coarse.Integrated(), added.Integrated(), 1e-9, 1e-9)
		near(t, key("range by steps of 100 ms", rate), coarse.Range(), added.Range(), 1e-9, 1e-9)
		if a, k := added.frames, known.frames; a != k {
			t.Errorf("%d frames, want %d", k, a)
		}
	}
}

// Eight hours of silence and a few words take no time and little memory.
func TestEightHours(t *testing.T) {
	const rate = 48000
	words := sines(rate, bar{4, -20}, bar{4, -30})
	once := NewMeter(rate)
	once.AddSilence(10 * rate)
	once.Add(words.Samples)
	once.AddSilence(10 * rate)
	m := NewMeter(rate)
	for range 8 {
		m.AddSilence(3600*rate - int64(len(words.Samples)))
		m.Add(words.Samples)
	}
	m.AddSilence(10 * rate)
	near(t, "integrated after eight hours", m.Integrated(), once.Integrated(), 1e-9, 1e-9)
	near(t, "momentary after eight hours", m.MaxMomentary(), once.MaxMomentary(), 1e-9, 1e-9)
	near(t, "short-term after eight hours", m.MaxShortTerm(), once.MaxShortTerm(), 1e-9, 1e-9)
	near(t, "range after eight hours", m.Range(), once.Range(), 0.5, 0.5) // its percentiles fall elsewhere among so many
	if kept := 8 * (cap(m.steps) + cap(m.windows[0].recent) + cap(m.windows[1].recent)); kept > 4<<20 {
		t.Errorf("a meter holds %d bytes after eight hours", kept)
	}
}

// The blocks that PeakMeter leaves out must not hide a peak.
func TestPeakMatchesPlainInterpolation(t *testing.T) {
	c := constants(t)
	random := rand.New(rand.NewPCG(3, 4))
	for range 200 {
		x := make([]float32, 1+random.IntN(400))
		for i := range x {
			x[i] = float32(random.NormFloat64() * math.Exp(4*random.Float64()))
		}
		var want float64
		for n := range len(x) + history {
			if n < len(x) {
				want = max(want, math.Abs(float64(x[n])))
			}
			for _, phase := range c.Peak.Phases {
				var y float64
				for i, tap := range phase {
					if j := n - i; j >= 0 && j < len(x) {
						y += float64(tap) * float64(x[j])
					}
				}
				want = max(want, math.Abs(y))
			}
		}
		var p PeakMeter
		p.Add(x)
		near(t, "peak", p.Peak()/want, 1, 2e-6, 2e-6)
		near(t, "peak asked twice", p.Peak()/want, 1, 2e-6, 2e-6)
	}
}

func TestSilenceAndShortSounds(t *testing.T) {
	minus := math.Inf(-1)
	for _, n := range []int{0, 1, 100, 48000} {
		s := audio.Sound{Rate: 48000, Samples: make([]float32, n)}
		m := NewMeter(48000)
		m.Add(s.Samples)
		var p PeakMeter
		p.Add(s.Samples)
		if got := MaxWindow(s, 400*time.Millisecond); got != minus {
			t.Errorf("%d zeros have loudness %g", n, got)
		}
		if i, most, short, lra := m.Integrated(), m.MaxMomentary(), m.MaxShortTerm(), m.Range(); i != minus || most != minus || short != minus || lra != 0 {
			t.Errorf("%d zeros have integrated loudness %g, momentary %g, short-term %g, range %g", n, i, most, short, lra)
		}
		if p.Peak() != 0 {
			t.Errorf("%d zeros peak at %g", n, p.Peak())
		}
	}
	// One sample is a sound too.
	if got := MaxWindow(audio.Sound{Rate: 48000, Samples: []float32{1}}, 400*time.Millisecond); !(got > -50 && got < -30) {
		t.Errorf("one sample has loudness %g", got)
	}
}

// A loud sound before the end of the window's reach, or late in the sound, counts alike.
func TestMaxWindowDoesNotCareWhere(t *testing.T) {
	const rate = audio.Rate(48000)
	alone := MaxWindow(sines(rate, bar{0.25, -20}), 400*time.Millisecond)
	for _, lead := range []float64{0.01, 0.13, 0.39, 2} {
		got := MaxWindow(sines(rate, silence(lead), bar{0.25, -20}, silence(1)), 400*time.Millisecond)
		near(t, "later", got, alone, 0.01, 0.01)
		got = MaxWindow(sines(rate, silence(lead), bar{0.25, -20}), 400*time.Millisecond)
		near(t, "last", got, alone, 0.01, 0.01)
	}
}

// Energy must not depend on where silence is cut off, and silence must end it.
func TestEnergyCutsTheRing(t *testing.T) {
	s := noise(48000, 2)
	plain, cut := newKFilter(48000), newKFilter(48000)
	var want float64
	for i := range s.Samples {
		want += plain.run(s.Samples[i : i+1])
	}
	got := cut.energy(s.Samples)
	near(t, "energy", got/want, 1, 1e-9, 1e-9)
	cut.energy(make([]float32, 48000/5))
	if !cut.silent(0) {
		t.Error("the filter still rings 200 ms after the sound")
	}
}

func TestMeterRefusesPartFrames(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("three samples of a stereo sound were taken")
		}
	}()
	NewMeter(48000, 1, 1).Add(make([]float32, 3))
}

func BenchmarkEnergy(b *testing.B) {
	s := noise(48000, 1).Samples[:12000]
	k := newKFilter(48000)
	for b.Loop() {
		k.energy(s)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(s)), "ns/sample")
}

func BenchmarkPeak(b *testing.B) {
	s := noise(48000, 1).Samples[:12000]
	for name, level := range map[string]float32{"quiet": 1.1, "dense": 0.1} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				p := PeakMeter{peak: level}
				p.Add(s)
				if level < 0.5 {
					p.peak = level
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(s)), "ns/sample")
		})
	}
}
