package loudness

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"testing"
	"time"

	"cuewright/audio"
)

const reference = "../../testdata/reference/loudness"

func near(t *testing.T, what string, got, want, below, above float64) {
	t.Helper()
	if math.IsInf(want, 0) && got == want {
		return
	}
	if !(got >= want-below && got <= want+above) {
		t.Errorf("%s: got %.4f, want %.4f (-%g/+%g)", what, got, want, below, above)
	}
}

func decibels(linear float64) float64 { return 20 * math.Log10(linear) }

// bar is a stretch of sine at a level in dBFS; silence is -Inf.
type bar struct {
	seconds, level float64
}

func silence(seconds float64) bar { return bar{seconds, math.Inf(-1)} }

// sines puts bars of a sine of 1 kHz one after the other.
func sines(rate audio.Rate, bars ...bar) audio.Sound {
	s := audio.Sound{Rate: rate}
	for _, b := range bars {
		amplitude := math.Pow(10, b.level/20)
		start := len(s.Samples)
		s.Samples = append(s.Samples, make([]float32, int(math.Round(b.seconds*float64(rate))))...)
		if amplitude == 0 {
			continue
		}
		for i := start; i < len(s.Samples); i++ {
			s.Samples[i] = float32(amplitude * math.Sin(2*math.Pi*1000/float64(rate)*float64(i)))
		}
	}
	return s
}

func repeat(n int, bars ...bar) (out []bar) {
	for range n {
		out = append(out, bars...)
	}
	return out
}

// stereo doubles a mono sound to both channels, interleaved.
func stereo(s audio.Sound) []float32 {
	out := make([]float32, 0, 2*len(s.Samples))
	for _, v := range s.Samples {
		out = append(out, v, v)
	}
	return out
}

type published struct {
	want, below, above float64
}

// ebu reads the expected values and tolerances of EBU Tech 3341.
func ebu(t *testing.T) map[string]published {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(reference, "ebu_test_cases.json"))
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		Cases []struct {
			Case        any
			Expect, Tol string
		}
	}
	if err := json.Unmarshal(data, &file); err != nil {
		t.Fatal(err)
	}
	value := regexp.MustCompile(`= ([+-]?[0-9.]+)`)
	tolerance := regexp.MustCompile(`\+(?:/-)?([0-9.]+)(?:/-([0-9.]+))?`)
	out := map[string]published{}
	for _, c := range file.Cases {
		v, tol := value.FindStringSubmatch(c.Expect), tolerance.FindStringSubmatch(c.Tol)
		if v == nil || tol == nil {
			t.Fatalf("case %v: cannot read %q and %q", c.Case, c.Expect, c.Tol)
		}
		var p published
		p.want, _ = strconv.ParseFloat(v[1], 64)
		p.above, _ = strconv.ParseFloat(tol[1], 64)
		p.below = p.above
		if tol[2] != "" {
			p.below, _ = strconv.ParseFloat(tol[2], 64)
		}
		out[fmt.Sprint(c.Case)] = p
	}
	return out
}

var rates = []audio.Rate{44100, 48000}

// Cases 1 to 5: the same sine in both channels, integrated loudness.
func TestEBUIntegrated(t *testing.T) {
	cases := ebu(t)
	for _, rate := range rates {
		for name, bars := range map[string][]bar{
			"1": {{20, -23}},
			"2": {{20, -33}},
			"3": {{10, -36}, {60, -23}, {10, -36}},
			"4": {{10, -72}, {10, -36}, {60, -23}, {10, -36}, {10, -72}},
			"5": {{20, -26}, {20.1, -20}, {20, -26}},
		} {
			s, p := sines(rate, bars...), cases[name]
			both := NewMeter(rate, 1, 1)
			both.Add(stereo(s))
			near(t, fmt.Sprintf("case %s at %d", name, rate), both.Integrated(), p.want, p.below, p.above)

			// A mono track from two speakers is heard as the stereo one.
			twice := NewMeter(rate, 2)
			twice.Add(s.Samples)
			near(t, fmt.Sprintf("case %s at %d, mono counted twice", name, rate), twice.Integrated(), both.Integrated(), 1e-9, 1e-9)
		}
	}
}

// Case 6: five channels, the surrounds weighing 1.41.
func TestEBUSurround(t *testing.T) {
	p := ebu(t)["6"]
	for _, rate := range rates {
		levels := []float64{-28, -28, -24, -30, -30}
		var mix []float32
		one := sines(rate, bar{20, 0})
		for _, v := range one.Samples {
			for _, level := range levels {
				mix = append(mix, v*float32(math.Pow(10, level/20)))
			}
		}
		m := NewMeter(rate, 1, 1, 1, 1.41, 1.41)
		m.Add(mix)
		near(t, fmt.Sprintf("case 6 at %d", rate), m.Integrated(), p.want, p.below, p.above)
	}
}

// Cases 9 to 14: maximum short-term and momentary loudness. Both channels hold
// the same, so the stereo reading is 3.01 LU above that of one.
func TestEBUMaxima(t *testing.T) {
	const two = 3.0103
	cases := ebu(t)
	for _, rate := range rates {
		check := func(name string, s audio.Sound, window time.Duration, want float64) {
			t.Helper()
			p := cases[name]
			near(t, fmt.Sprintf("case %s at %d", name, rate), MaxWindow(s, window)+two, want, p.below, p.above)
		}
		const short, momentary = 3 * time.Second, 400 * time.Millisecond
		check("9", sines(rate, repeat(5, bar{1.34, -20}, bar{1.66, -30})...), short, cases["9"].want)
		check("12", sines(rate, repeat(25, bar{0.18, -20}, bar{0.22, -30})...), momentary, cases["12"].want)
		var eleven, fourteen []bar
		for i := range 20 {
			late, level := float64(i), -38+float64(i)
			check("10", sines(rate, silence(late*0.15), bar{3, -23}, silence(1)), short, cases["10"].want)
			check("13", sines(rate, silence(late*0.02), bar{0.4, -23}, silence(1)), momentary, cases["13"].want)
			eleven = append(eleven, silence(late*0.15), bar{3, level}, silence(3-late*0.15))
			fourteen = append(fourteen, silence(late*0.02), bar{0.4, level}, silence(0.4-late*0.02))
		}
		// One file each, whose maximum rises by 1 LU from part to part.
		all, quick := sines(rate, eleven...), sines(rate, fourteen...)
		for i := range 20 {
			part := audio.Sound{Rate: rate, Samples: all.Samples[:rate.Frame(6*time.Second)*int64(i+1)]}
			check("11", part, short, -38+float64(i))
			part = audio.Sound{Rate: rate, Samples: quick.Samples[:rate.Frame(800*time.Millisecond)*int64(i+1)]}
			check("14", part, momentary, -38+float64(i))
		}
	}
}

// Cases 15 to 19: sines whose peaks lie between the samples.
func TestEBUTruePeakOfSines(t *testing.T) {
	cases := ebu(t)
	for name, c := range map[string]struct{ part, amplitude, phase float64 }{
		"15": {4, 0.50, 0}, "16": {4, 0.50, 45}, "17": {6, 0.50, 60}, "18": {8, 0.50, 67.5}, "19": {4, 1.41, 45},
	} {
		const rate = 48000
		x := make([]float32, rate)
		for i := range x {
			fade := min(1, float64(i)/(rate/100), float64(len(x)-1-i)/(rate/100))
			x[i] = float32(fade * c.amplitude * math.Sin(2*math.Pi*float64(i)/c.part+c.phase*math.Pi/180))
		}
		var p PeakMeter
		p.Add(x)
		near(t, "case "+name, decibels(p.Peak()), cases[name].want, cases[name].below, cases[name].above)
	}
}

// Cases 20 to 23: one period at full scale inside a lower sine, made at four
// times the rate, brought down with the new samples at each of four places.
func TestEBUTruePeakOfOnePeriod(t *testing.T) {
	cases := ebu(t)
	const rate = 48000
	const before, inside = 6 * 4 * 1000, 4 * 4 // whole periods of both sines
	fine := audio.Sound{Rate: 4 * rate}
	for i := range 2*before + inside {
		v := 0.5 * math.Sin(2*math.Pi*float64(i)/(6*4))
		switch j := i - before; {
		case j >= inside:
			v = 0.5 * math.Sin(2*math.Pi*float64(j-inside)/(6*4))
		case j >= 0:
			v = math.Sin(2 * math.Pi * float64(j) / (4 * 4))
		}
		fade := min(1, float64(i)/2000, float64(2*before+inside-1-i)/2000)
		fine.Samples = append(fine.Samples, float32(fade*v))
	}
	for offset := range 4 {
		s := audio.Resample(audio.Sound{Rate: fine.Rate, Samples: fine.Samples[offset:]}, rate)
		var p PeakMeter
		p.Add(s.Samples)
		name := strconv.Itoa(20 + offset)
		near(t, "case "+name, decibels(p.Peak()), cases[name].want, cases[name].below, cases[name].above)
	}
}

// The vectors of our own: clicks, pips, short phrases and sparse tracks, measured
// with two other programs.
func TestExtraVectors(t *testing.T) {
	f, err := os.Open(filepath.Join(reference, "extra_vectors.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) != 13 {
		t.Fatalf("%d rows, want 13", len(rows))
	}
	column := map[string]int{}
	for i, name := range rows[0] {
		column[name] = i
	}
	for _, row := range rows[1:] {
		get := func(name string) float64 {
			v, err := strconv.ParseFloat(row[column[name]], 64)
			if err != nil {
				t.Fatal(err)
			}
			return v
		}
		rate, frames := audio.Rate(get("fs")), int(get("frames"))
		s := vector(t, row[column["id"]], rate, frames)
		what := fmt.Sprintf("%s at %d: ", row[0], rate)

		m := NewMeter(rate)
		m.Add(s.Samples)
		near(t, what+"integrated", m.Integrated(), get("own_I"), 0.001, 0.001)
		if row[0] == "short300ms" {
			// The other programs know no loudness of what is shorter than a window;
			// ours is lower by the missing quarter.
			full := LUFS(0.1 * 0.1 / 2 * 1.172) // K-weighting at 1 kHz: +0.69 dB
			near(t, what+"momentary", MaxWindow(s, 400*time.Millisecond), full+10*math.Log10(0.75), 0.03, 0.03)
		} else {
			near(t, what+"momentary", MaxWindow(s, 400*time.Millisecond), get("own_Mmax_10ms"), 0.001, 0.001)
		}
		if want := get("own_Smax_10ms"); !math.IsInf(want, 0) {
			near(t, what+"short-term", MaxWindow(s, 3*time.Second), want, 0.001, 0.001)
		}
		var p PeakMeter
		p.Add(s.Samples)
		near(t, what+"true peak", decibels(p.Peak()), get("own_TP_annex2"), 0.001, 0.001)
	}
}

// vector makes a sound from the recipe that extra_vectors.csv states in words.
func vector(t *testing.T, id string, rate audio.Rate, frames int) audio.Sound {
	t.Helper()
	s := audio.Sound{Rate: rate, Samples: make([]float32, frames)}
	burst := func(start, length int64, amplitude float64) {
		for j := range length {
			s.Samples[start+j] = float32(amplitude * math.Sin(2*math.Pi*1000*float64(j)/float64(rate)))
		}
	}
	ms := func(n int64) int64 { return n * int64(rate) / 1000 }
	switch id {
	case "clicks172":
		for k := int64(0); rate.Click(k, 1720) < int64(frames); k++ {
			burst(rate.Click(k, 1720), ms(10), 0.5)
		}
	case "sixpips":
		for i := range int64(5) {
			burst(ms(1000*i), ms(100), 0.5)
		}
		burst(ms(5000), ms(500), 0.5)
	case "short300ms":
		burst(0, int64(frames), 0.1)
	case "phrase600ms":
		burst(ms(500), ms(600), 0.1)
	case "sparse12x1500ms":
		for k := range int64(12) {
			burst(ms(1000+10000*k), ms(1500), 0.1)
		}
	case "silence10s":
	default:
		t.Fatalf("no recipe for %s", id)
	}
	return s
}
