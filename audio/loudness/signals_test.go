package loudness

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

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

// A row is a line of a table, by the names of its columns.
type row map[string]string

func (r row) number(t *testing.T, column string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(r[column], 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// table reads a CSV file of the reference folder.
func table(t *testing.T, name string) (rows []row) {
	t.Helper()
	f, err := os.Open(filepath.Join(reference, name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, line := range lines[1:] {
		r := row{}
		for i, column := range lines[0] {
			r[column] = line[i]
		}
		rows = append(rows, r)
	}
	return rows
}

// bar is a stretch of sine at a level in dBFS; silence is -Inf.
type bar struct {
	seconds, level float64
}

func silence(seconds float64) bar { return bar{seconds, math.Inf(-1)} }

// sines puts bars of a sine one after the other.
func sines(rate audio.Rate, bars ...bar) audio.Sound { return tones(rate, 1000, bars...) }

func tones(rate audio.Rate, hz float64, bars ...bar) audio.Sound {
	seconds := 0.0
	for _, b := range bars {
		seconds += b.seconds
	}
	s := audio.Sound{Rate: rate, Samples: make([]float32, 0, int(seconds*float64(rate))+len(bars))}
	for _, b := range bars {
		amplitude := math.Pow(10, b.level/20)
		start := len(s.Samples)
		s.Samples = s.Samples[:start+int(math.Round(b.seconds*float64(rate)))]
		if amplitude == 0 {
			continue
		}
		for i := start; i < len(s.Samples); i++ {
			s.Samples[i] = float32(amplitude * math.Sin(2*math.Pi*hz/float64(rate)*float64(i)))
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

// channels puts one sound into several channels, interleaved, each with a gain.
func channels(s audio.Sound, gains ...float64) []float32 {
	out := make([]float32, 0, len(gains)*len(s.Samples))
	for _, v := range s.Samples {
		for _, gain := range gains {
			out = append(out, v*float32(gain))
		}
	}
	return out
}

// sineOf is the signal of the true peak cases 15 to 19: a sine of the rate divided
// by part, with a phase in degrees and 10 ms of fade at both ends.
func sineOf(rate audio.Rate, part, amplitude, phase float64) []float32 {
	x := make([]float32, rate)
	for i := range x {
		fade := min(1, float64(i)/float64(rate/100), float64(len(x)-1-i)/float64(rate/100))
		x[i] = float32(fade * amplitude * math.Sin(2*math.Pi*float64(i)/part+phase*math.Pi/180))
	}
	return x
}

// onePeriod is the signal of the true peak cases 20 to 23: one period at full scale
// inside a lower sine, made at four times the rate, and of its samples behind a
// low-pass every fourth from an offset on.
func onePeriod(rate audio.Rate, offset int) []float32 {
	const before, inside = 6 * 4 * 1000, 4 * 4 // whole periods of both sines
	fine := make([]float64, 2*before+inside)
	for i := range fine {
		v := 0.5 * math.Sin(2*math.Pi*float64(i)/(6*4))
		switch j := i - before; {
		case j >= inside:
			v = 0.5 * math.Sin(2*math.Pi*float64(j-inside)/(6*4))
		case j >= 0:
			v = math.Sin(2 * math.Pi * float64(j) / (4 * 4))
		}
		fine[i] = min(1, float64(i)/2000, float64(len(fine)-1-i)/2000) * v
	}
	// The low-pass that verification.csv names: 513 taps, Kaiser window with beta
	// 8, edge at half the lower rate.
	const middle = 256
	low := make([]float64, 2*middle+1)
	for i := range low {
		k := float64(i - middle)
		low[i] = 0.25 * bessel(8*math.Sqrt(1-k*k/middle/middle)) / bessel(8)
		if k != 0 {
			low[i] *= math.Sin(math.Pi*k/4) / (math.Pi * k / 4)
		}
	}
	var out []float32
	for i := offset; i < len(fine); i += 4 {
		var sum float64
		for k, tap := range low {
			if j := i + middle - k; j >= 0 && j < len(fine) {
				sum += tap * fine[j]
			}
		}
		out = append(out, float32(sum))
	}
	return out
}

// bessel is the modified Bessel function I0, by its power series.
func bessel(x float64) float64 {
	sum, term := 1.0, 1.0
	for k := 1.0; term > sum*1e-16; k++ {
		term *= x * x / (4 * k * k)
		sum += term
	}
	return sum
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
		step := func(k int64) int64 { return (k*600*int64(rate) + 860) / 1720 } // rounded to the nearest frame
		for k := int64(0); step(k) < int64(frames); k++ {
			burst(step(k), ms(10), 0.5)
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

// level is the gain of a level in dBFS.
func level(db float64) float64 { return math.Pow(10, db/20) }

// key names a case at a rate in messages.
func key(name string, rate audio.Rate) string { return fmt.Sprintf("%s at %d", name, rate) }
