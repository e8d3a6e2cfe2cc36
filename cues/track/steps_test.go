package track

import (
	"cuewright/audio"
	"encoding/csv"
	"encoding/json"
	"math"
	"math/big"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

const reference = "../../testdata/reference"

// table reads a CSV file of the reference values as one map a row.
func table(t *testing.T, name string) []map[string]string {
	t.Helper()
	f, err := os.Open(filepath.Join(reference, name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) < 2 {
		t.Fatalf("%s: no rows", name)
	}
	var out []map[string]string
	for _, row := range rows[1:] {
		m := map[string]string{}
		for i, v := range row {
			m[rows[0][i]] = v
		}
		out = append(out, m)
	}
	return out
}

func number(t *testing.T, s string) int64 {
	t.Helper()
	n, err := strconv.ParseInt(s, 10, 64)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// cadenceOf reads a cadence such as 180.5 as 1805.
func cadenceOf(t *testing.T, s string) int64 {
	t.Helper()
	whole, part, _ := strings.Cut(s, ".")
	return number(t, whole)*10 + number(t, "0"+part)
}

// floorHalf is floor(num/den + 1/2) by other means than the code under test.
func floorHalf(num, den *big.Int) int64 {
	n := new(big.Int).Add(new(big.Int).Mul(num, big.NewInt(2)), den)
	return new(big.Int).Div(n, new(big.Int).Mul(den, big.NewInt(2))).Int64() // Euclidean, so floor for den > 0
}

func TestStepsOfReference(t *testing.T) {
	for _, row := range table(t, "metronome/beat_indices.csv") {
		rate := audio.Rate(number(t, row["fs_hz"]))
		got := stepFrame(rate, number(t, row["beat"]), cadenceOf(t, row["cadence_spm"]))
		if want := number(t, row["sample_index"]); got != want {
			t.Errorf("%v: got %d, want %d", row, got, want)
		}
	}
}

func TestStepsRoundTiesUp(t *testing.T) {
	for _, row := range table(t, "metronome/rounding_ties.csv") {
		rate := audio.Rate(number(t, row["fs_hz"]))
		got := stepFrame(rate, number(t, row["beat"]), cadenceOf(t, row["cadence_spm"]))
		if want := number(t, row["floor_plus_half"]); got != want {
			t.Errorf("%v: got %d, want %d", row, got, want)
		}
	}
}

func TestStepsIntervals(t *testing.T) {
	for _, row := range table(t, "metronome/property_check.csv") {
		rate, cadence := audio.Rate(number(t, row["fs_hz"])), cadenceOf(t, row["cadence_spm"])
		beats := number(t, row["beats"])
		got := map[string]int{}
		var worst big.Rat
		for k := range beats {
			if k > 0 {
				got[strconv.FormatInt(stepFrame(rate, k, cadence)-stepFrame(rate, k-1, cadence), 10)]++
			}
			off := big.NewRat(600*k*int64(rate), cadence)
			off.Sub(off, new(big.Rat).SetInt64(stepFrame(rate, k, cadence))).Abs(off)
			if off.Cmp(&worst) > 0 {
				worst.Set(off)
			}
		}
		var want map[string]int
		if err := json.Unmarshal([]byte(row["intervals"]), &want); err != nil {
			t.Fatal(err)
		}
		if len(got) != len(want) {
			t.Errorf("%v: intervals %v", row, got)
		}
		for k, n := range want {
			if got[k] != n {
				t.Errorf("%v: %d intervals of %s, want %d", row, got[k], k, n)
			}
		}
		if worst.RatString() != row["max_abs_error_samples"] {
			t.Errorf("%v: worst error %s", row, worst.RatString())
		}
	}
}

// A segment's clicks hang on its start frame, rounded first.
func TestStepsAfterSegmentStart(t *testing.T) {
	for _, row := range table(t, "metronome/segment_start_beats.csv") {
		rate := audio.Rate(number(t, row["fs_hz"]))
		start, err := time.ParseDuration(row["segment_start_s"] + "s")
		if err != nil {
			t.Fatal(err)
		}
		got := rate.Frame(start) + stepFrame(rate, number(t, row["beat"]), cadenceOf(t, row["cadence_spm"]))
		if want := number(t, row["if_start_rounded_first"]); got != want {
			t.Errorf("%v: got %d, want %d", row, got, want)
		}
	}
}

func TestStepsNeedCadence(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("a cadence of 0 did not panic")
		}
	}()
	stepFrame(audio.Rate(48000), 1, 0)
}

func TestTimeSignalVectors(t *testing.T) {
	data, err := os.ReadFile(filepath.Join(reference, "time_signal/six_pips.json"))
	if err != nil {
		t.Fatal(err)
	}
	var signal struct {
		Short  float64 `json:"pip_1_to_5_s"`
		Long   float64 `json:"pip_6_s"`
		Hz     float64 `json:"tone_hz"`
		Vector []struct {
			Rate    int `json:"fs"`
			T       int `json:"T_s"`
			Onsets  []int64
			Lengths []int
		} `json:"vectors"`
	}
	if err := json.Unmarshal(data, &signal); err != nil {
		t.Fatal(err)
	}
	if len(signal.Vector) == 0 {
		t.Fatal("no vectors")
	}
	for _, v := range signal.Vector {
		rate := audio.Rate(v.Rate)
		for i, want := range v.Onsets {
			at := time.Duration(v.T-5+i) * time.Second
			if got := rate.Frame(at); got != want {
				t.Errorf("rate %d: pip %d starts at %d, want %d", rate, i, got, want)
			}
			length := signal.Short
			if i == 5 {
				length = signal.Long
			}
			beep := beep(rate, signal.Hz, time.Duration(length*float64(time.Second)))
			if len(beep.Samples) != v.Lengths[i] {
				t.Errorf("rate %d: pip %d has %d frames, want %d", rate, i, len(beep.Samples), v.Lengths[i])
			}
		}
	}
}

func TestStepsAreExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rate := audio.Rate(rapid.IntRange(1, int(audio.MaxRate)).Draw(t, "rate"))
		k := rapid.Int64Range(-40e9, 40e9).Draw(t, "k")
		cadence := rapid.Int64Range(1, 4000).Draw(t, "tenths")
		num := new(big.Int).Mul(big.NewInt(600*k), big.NewInt(int64(rate)))
		want := floorHalf(num, big.NewInt(cadence))
		if got := stepFrame(rate, k, cadence); got != want {
			t.Fatalf("Rate(%d).Click(%d, %d) = %d, want %d", rate, k, cadence, got, want)
		}
	})
}

// The drift that rounding an interval and adding it would bring, which the table
// of reference values states, is what a step must not have.
func TestStepsDoNotDrift(t *testing.T) {
	for _, row := range table(t, "metronome/drift_if_interval_rounded.csv") {
		rate, cadence, k := audio.Rate(number(t, row["fs_hz"])), cadenceOf(t, row["cadence_spm"]), number(t, row["beat"])
		drift, err := strconv.ParseFloat(row["accumulated_error_samples"], 64)
		if err != nil {
			t.Fatal(err)
		}
		added := float64(k * number(t, row["interval_rounded"]))
		if got := added - float64(stepFrame(rate, k, cadence)); math.Abs(got-drift) > 0.5001 {
			t.Errorf("%v: added intervals stand %g frames off our step", row, got)
		}
	}
}
