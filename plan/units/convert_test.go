package units

import (
	"encoding/csv"
	"math/big"
	"os"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

const running = "../../testdata/reference/running/"

// table reads a reference file: its rows by the names of its columns.
func table(t *testing.T, file string) []map[string]string {
	t.Helper()
	f, err := os.Open(running + file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil || len(rows) < 5 {
		t.Fatal(len(rows), err)
	}
	var out []map[string]string
	for _, row := range rows[1:] {
		m := map[string]string{}
		for i, name := range rows[0] {
			m[name] = row[i]
		}
		out = append(out, m)
	}
	return out
}

// paceOf reads a pace, tenthsOf a speed or a step rate in tenths.
func paceOf(t *testing.T, text string) Speed {
	t.Helper()
	minutes, seconds, ok := strings.Cut(text, ":")
	m, err1 := strconv.Atoi(minutes)
	s, err2 := strconv.Atoi(seconds)
	if !ok || err1 != nil || err2 != nil {
		t.Fatalf("%q is no pace", text)
	}
	return Speed(60*m + s)
}

func tenthsOf(t *testing.T, text string) Speed {
	t.Helper()
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || v*10 != float64(int64(v*10)) {
		t.Fatalf("%q has more than one decimal (%v)", text, err)
	}
	return Speed(v * 10)
}

// TestConvert holds conversions against exact tables and published ones.
func TestConvert(t *testing.T) {
	check := func(what string, got, want Speed) {
		t.Helper()
		if got != want {
			t.Errorf("%s: %d, want %d", what, got, want)
		}
	}
	for _, row := range table(t, "speed_pace_kmh.csv") {
		v := tenthsOf(t, row["kmh"])
		check(row["kmh"]+" km/h in min/km", KmH.Convert(MinKm, v), paceOf(t, row["pace_min_per_km"]))
		check(row["kmh"]+" km/h in min/mile", KmH.Convert(MinMile, v), paceOf(t, row["pace_min_per_mile"]))
		exact, _ := new(big.Rat).SetString(row["mph"]) // six decimals: none of them is half a tenth
		check(row["kmh"]+" km/h in mph", KmH.Convert(Mph, v), Speed(round(exact.Mul(exact, big.NewRat(10, 1)), 1)))
	}
	for _, row := range table(t, "speed_pace_mph.csv") {
		v := tenthsOf(t, row["mph"])
		check(row["mph"]+" mph in min/mile", Mph.Convert(MinMile, v), paceOf(t, row["pace_min_per_mile"]))
		check(row["mph"]+" mph in min/km", Mph.Convert(MinKm, v), paceOf(t, row["pace_min_per_km"]))
		exact, _ := new(big.Rat).SetString(row["kmh_exact"])
		if got := Mph.converted(KmH, big.NewRat(int64(v), 10)); got.Cmp(exact) != 0 {
			t.Errorf("%s mph is %s km/h, want exactly %s", row["mph"], got.FloatString(7), row["kmh_exact"])
		}
	}
	points := 0
	for _, row := range table(t, "published_pace_points.csv") {
		want := row["published"]
		if row["ok"] != "True" {
			want = row["calc"] // 4:30 for a kilometre is 7:14.52 for a mile; the page printed 7:14
		}
		unit := map[string]Unit{"/km": MinKm, "/mile": MinMile, "mph": Mph, "km/h": KmH}
		given, from, _ := strings.Cut(row["given"], " ")
		pace, to, ok := strings.Cut(want, " ")
		if !ok {
			_, to, _ = strings.Cut(row["published"], " ")
		}
		if unit[from] == "" || unit[to] == "" {
			continue
		}
		read := func(u Unit, text string) Speed {
			if u.Pace() {
				return paceOf(t, text)
			}
			return tenthsOf(t, text)
		}
		check(row["given"]+" in "+to, unit[from].Convert(unit[to], read(unit[from], given)), read(unit[to], pace))
		points++
	}
	if points < 15 {
		t.Errorf("only %d published points were compared", points)
	}
}

// TestRounding: halfway the number grows, whether that is faster or slower.
func TestRounding(t *testing.T) {
	for _, x := range []struct{ num, den, step, want int64 }{
		{15, 2, 1, 8}, {149, 20, 1, 7}, {75, 10, 5, 10}, {3875, 10, 5, 390}, {3874, 10, 5, 385}, {0, 1, 5, 0},
	} {
		if got := round(big.NewRat(x.num, x.den), x.step); got != x.want {
			t.Errorf("%d/%d by %d: %d, want %d", x.num, x.den, x.step, got, x.want)
		}
	}
}

// TestRoundTrip: a conversion there and back is exact before it is rounded.
func TestRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := Unit(rapid.SampledFrom(Names()).Draw(t, "a")), Unit(rapid.SampledFrom(Names()).Draw(t, "b"))
		v := rapid.Int64Range(1, 4000).Draw(t, "v")
		if got := b.converted(a, a.converted(b, exact(Speed(v)))); got.Cmp(exact(Speed(v))) != 0 {
			t.Fatalf("%d %s comes back from %s as %s", v, a, b, got)
		}
	})
}

// TestReadStep reads steps of both kinds of units.
func TestReadStep(t *testing.T) {
	for _, x := range []struct {
		u    Unit
		text string
		want Speed
	}{{KmH, "0.1", 1}, {Mph, "0.5", 5}, {KmH, "2", 20}, {MinKm, "5s", 5}, {MinMile, "1m", 60}} {
		if got, ok := x.u.ReadStep(x.text); got != x.want || !ok {
			t.Errorf("%s %s: %d %v", x.text, x.u, got, ok)
		}
	}
	for _, x := range []struct {
		u    Unit
		text string
	}{{KmH, "0"}, {KmH, "0.05"}, {KmH, "2.1"}, {KmH, "5s"}, {MinKm, "0.1"}, {MinKm, "5"}, {MinKm, "500ms"}, {MinKm, "61s"}, {Mph, ""}} {
		if got, ok := x.u.ReadStep(x.text); ok {
			t.Errorf("%q %s is taken for the step %d", x.text, x.u, got)
		}
	}
}
