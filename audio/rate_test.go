package audio

import (
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

const reference = "../testdata/reference"

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

// tenths reads a cadence such as 180.5 as 1805.
func tenths(t *testing.T, s string) int64 {
	t.Helper()
	whole, part, _ := strings.Cut(s, ".")
	return number(t, whole)*10 + number(t, "0"+part)
}

// floorHalf is floor(num/den + 1/2) by other means than the code under test.
func floorHalf(num, den *big.Int) int64 {
	n := new(big.Int).Add(new(big.Int).Mul(num, big.NewInt(2)), den)
	return new(big.Int).Div(n, new(big.Int).Mul(den, big.NewInt(2))).Int64() // Euclidean, so floor for den > 0
}

func TestClickReferenceBeats(t *testing.T) {
	for _, row := range table(t, "metronome/beat_indices.csv") {
		rate := Rate(number(t, row["fs_hz"]))
		got := rate.Click(number(t, row["beat"]), tenths(t, row["cadence_spm"]))
		if want := number(t, row["sample_index"]); got != want {
			t.Errorf("%v: got %d, want %d", row, got, want)
		}
	}
}

func TestClickRoundsTiesUp(t *testing.T) {
	for _, row := range table(t, "metronome/rounding_ties.csv") {
		rate := Rate(number(t, row["fs_hz"]))
		got := rate.Click(number(t, row["beat"]), tenths(t, row["cadence_spm"]))
		if want := number(t, row["floor_plus_half"]); got != want {
			t.Errorf("%v: got %d, want %d", row, got, want)
		}
	}
}

func TestClickIntervals(t *testing.T) {
	for _, row := range table(t, "metronome/property_check.csv") {
		rate, cadence := Rate(number(t, row["fs_hz"])), tenths(t, row["cadence_spm"])
		beats := number(t, row["beats"])
		got := map[string]int{}
		var worst big.Rat
		for k := range beats {
			if k > 0 {
				got[strconv.FormatInt(rate.Click(k, cadence)-rate.Click(k-1, cadence), 10)]++
			}
			off := big.NewRat(600*k*int64(rate), cadence)
			off.Sub(off, new(big.Rat).SetInt64(rate.Click(k, cadence))).Abs(off)
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
func TestClickAfterSegmentStart(t *testing.T) {
	for _, row := range table(t, "metronome/segment_start_beats.csv") {
		rate := Rate(number(t, row["fs_hz"]))
		start, err := time.ParseDuration(row["segment_start_s"] + "s")
		if err != nil {
			t.Fatal(err)
		}
		got := rate.Frame(start) + rate.Click(number(t, row["beat"]), tenths(t, row["cadence_spm"]))
		if want := number(t, row["if_start_rounded_first"]); got != want {
			t.Errorf("%v: got %d, want %d", row, got, want)
		}
	}
}

func TestClickNeedsCadence(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("a cadence of 0 did not panic")
		}
	}()
	Rate(48000).Click(1, 0)
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
		rate := Rate(v.Rate)
		for i, want := range v.Onsets {
			at := time.Duration(v.T-5+i) * time.Second
			if got := rate.Frame(at); got != want {
				t.Errorf("rate %d: pip %d starts at %d, want %d", rate, i, got, want)
			}
			length := signal.Short
			if i == 5 {
				length = signal.Long
			}
			beep := Beep(rate, signal.Hz, time.Duration(length*float64(time.Second)))
			if len(beep.Samples) != v.Lengths[i] {
				t.Errorf("rate %d: pip %d has %d frames, want %d", rate, i, len(beep.Samples), v.Lengths[i])
			}
		}
	}
}

func anyRate(t *rapid.T) Rate { return Rate(rapid.IntRange(1, int(MaxRate)).Draw(t, "rate")) }

const day = int64(24 * time.Hour)

func TestFrameIsExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rate, ns := anyRate(t), rapid.Int64Range(-day, day).Draw(t, "t")
		want := floorHalf(new(big.Int).Mul(big.NewInt(ns), big.NewInt(int64(rate))), big.NewInt(int64(time.Second)))
		if got := rate.Frame(time.Duration(ns)); got != want {
			t.Fatalf("Rate(%d).Frame(%d ns) = %d, want %d", rate, ns, got, want)
		}
	})
	for _, c := range []struct {
		rate Rate
		t    time.Duration
		want int64
	}{ // just between two frames, on both sides of zero
		{1000, 500 * time.Microsecond, 1}, {1000, -500 * time.Microsecond, 0},
		{1000, -501 * time.Microsecond, -1}, {1000, -1500 * time.Microsecond, -1},
		{MaxRate, 24 * time.Hour, 24 * 3600 * 192000}, {MaxRate, -24 * time.Hour, -24 * 3600 * 192000},
	} {
		if got := c.rate.Frame(c.t); got != c.want {
			t.Errorf("Rate(%d).Frame(%v) = %d, want %d", c.rate, c.t, got, c.want)
		}
	}
}

func TestLengthTurnsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rate := anyRate(t)
		frames := rapid.Int64Range(-24*3600*int64(rate), 24*3600*int64(rate)).Draw(t, "frames")
		length := rate.Length(frames)
		if got := rate.Frame(length); got != frames {
			t.Fatalf("Rate(%d): Frame(Length(%d)) = %d", rate, frames, got)
		}
		// Rounded up, and by less than a nanosecond.
		exact := new(big.Int).Mul(big.NewInt(frames), big.NewInt(int64(time.Second)))
		least := new(big.Int).Mul(big.NewInt(int64(length)), big.NewInt(int64(rate)))
		if over := new(big.Int).Sub(least, exact); over.Sign() < 0 || over.Cmp(big.NewInt(int64(rate))) >= 0 {
			t.Fatalf("Rate(%d).Length(%d) = %d ns", rate, frames, length)
		}
	})
}

func TestClickIsExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rate := anyRate(t)
		k := rapid.Int64Range(-40e9, 40e9).Draw(t, "k")
		cadence := rapid.Int64Range(1, 4000).Draw(t, "tenths")
		num := new(big.Int).Mul(big.NewInt(600*k), big.NewInt(int64(rate)))
		want := floorHalf(num, big.NewInt(cadence))
		if got := rate.Click(k, cadence); got != want {
			t.Fatalf("Rate(%d).Click(%d, %d) = %d, want %d", rate, k, cadence, got, want)
		}
	})
}

// The drift that rounding an interval and adding it would bring, which the table
// of reference values states, is what Click must not have.
func TestClickDoesNotDrift(t *testing.T) {
	for _, row := range table(t, "metronome/drift_if_interval_rounded.csv") {
		rate, cadence, k := Rate(number(t, row["fs_hz"])), tenths(t, row["cadence_spm"]), number(t, row["beat"])
		drift, err := strconv.ParseFloat(row["accumulated_error_samples"], 64)
		if err != nil {
			t.Fatal(err)
		}
		added := float64(k * number(t, row["interval_rounded"]))
		if got := added - float64(rate.Click(k, cadence)); math.Abs(got-drift) > 0.5001 {
			t.Errorf("%v: added intervals stand %g frames off our click", row, got)
		}
	}
}
