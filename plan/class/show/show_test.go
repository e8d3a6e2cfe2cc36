package show

import (
	"bytes"
	"fmt"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"

	"cuewright/plan"
	"cuewright/plan/class"
	"cuewright/plan/class/effort"
	"cuewright/plan/units"
)

// TestShowWidth: whatever stands in a plan, the class takes 80 columns at most,
// without a control character, and tells what matters.
func TestShowWidth(t *testing.T) {
	check := func(t interface {
		Fatalf(string, ...any)
	}, c *class.Class) {
		var out bytes.Buffer
		if err := Show(&out, c, 70e9); err != nil {
			t.Fatalf("%v", err)
		}
		for line := range strings.Lines(out.String()) {
			line = strings.TrimSuffix(line, "\n")
			if columns(line) > 80 || !utf8.ValidString(line) || strings.ContainsAny(line, "\x1b\t\r") || strings.TrimRight(line, " ") != line {
				t.Fatalf("%d columns: %q", columns(line), line)
			}
		}
		// No caution is lost, however it is broken into lines.
		all := strings.Join(strings.Fields(out.String()), " ")
		for _, caution := range c.Cautions() {
			if !strings.Contains(all, caution) {
				t.Fatalf("without the caution %q", caution)
			}
		}
	}
	files, _ := filepath.Glob("../../../testdata/plans/good/*.yaml")
	if len(files) < 6 {
		t.Fatal(files)
	}
	for _, file := range files {
		p, problems, err := plan.Load(file)
		if err != nil || len(problems) > 0 {
			t.Fatal(err, problems)
		}
		c, _ := class.Unfold(p)
		check(t, c)
	}
	// A case found by chance: every cell as wide as it gets.
	p, problems := plan.Read("x.yaml", []byte(`class: a
units: min/mile
main:
  - {speed: ["11:15", "10:05"], incline: 12.5, cadence: 164.5, gait: run, for: 3600001ms}
  - {sets: 10, segments: [{speed: ["11:15", "10:05"], incline: 12.5, cadence: 164.5, gait: run, for: 3600001ms}]}
`))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	for _, level := range append([]class.Level{class.NoLevel}, class.Levels...) {
		c, _ := class.Options{Level: level}.Unfold(p)
		check(t, c)
	}
	name := rapid.StringOfN(rapid.RuneFrom([]rune("ab 港é\u0301ß🏃")), 1, 60, -1)
	rapid.Check(t, func(t *rapid.T) {
		u := rapid.SampledFrom([]units.Unit{units.KmH, units.Mph, units.MinKm, units.MinMile}).Draw(t, "units")
		speed := map[units.Unit]string{units.KmH: "[11.5, 14.5]", units.Mph: "[11.5, 14.5]", units.MinKm: `["11:15", "10:05"]`, units.MinMile: `["11:15", "10:05"]`}[u]
		effort := func(incline int) string {
			return fmt.Sprintf("x%s: {speed: %s, incline: %d.5, cadence: 164.5, gait: run}", name.Draw(t, "name"), speed, incline)
		}
		efforts := []string{effort(1), "y" + effort(12)}
		a, _, _ := strings.Cut(efforts[0], ":")
		b, _, _ := strings.Cut(efforts[1], ":")
		d := func() string { return fmt.Sprintf("%dms", rapid.IntRange(3000, 4_000_000).Draw(t, "length")) }
		text := fmt.Sprintf("class: x%s\nunits: %s\nefforts:\n  %s\n  %s\nmain:\n  - {effort: %s, for: %s}\n  - {sets: %d, segments: [{effort: %s, for: %s}], between: [{effort: %s, for: %s}]}\n",
			name.Draw(t, "class"), u, efforts[0], efforts[1], a, d(), rapid.IntRange(2, 4).Draw(t, "sets"), b, d(), a, d())
		p, problems := plan.Read("x.yaml", []byte(text))
		if len(problems) > 0 {
			t.Fatalf("%s%v", text, problems)
		}
		c, _ := class.Unfold(p)
		check(t, c)
	})
}

// TestGround: to scale, rise and fall, and a number only where it has room.
func TestGround(t *testing.T) {
	draw := func(main string) string {
		p, problems := plan.Read("x.yaml", []byte("class: X\nunits: km/h\nmain: ["+main+"]\n"))
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		c, _ := class.Unfold(p)
		return ground(c)
	}
	flat := strings.Repeat("_", 72)
	for main, want := range map[string]string{
		"{speed: 9, for: 72s}":                                                                                     "",
		"{speed: 9, incline: 2, for: 72s}":                                                                         "",
		"{speed: 9, incline: 2, for: 36s}, {speed: 8, incline: 2, for: 36s}":                                       "",
		"{speed: 9, incline: 2, for: 36s}, {speed: 9, incline: 12.5, for: 36s}":                                    "2" + flat[:35] + "/12.5" + flat[:31],
		"{speed: 9, incline: 2, for: 36s}, {speed: 9, incline: -1, for: 3s}, {speed: 9, incline: 0, for: 33s}":     "2" + flat[:35] + `\-1/0` + flat[:31],
		"{speed: 9, incline: 2, for: 10m}, {speed: 9, incline: 4, for: 3s}, {speed: 9, incline: 1, for: 117s}":     "2" + flat[:59] + "^1" + flat[:10],
		"{speed: 9, incline: 2, for: 71m57s}, {speed: 9, incline: 10, for: 3s}":                                    "2" + flat[:70] + "/",
		"{speed: 9, incline: 2, for: 10m}, {speed: 9, incline: 4, for: 3s}, {speed: 9, incline: 5, for: 117s}":     "2" + flat[:59] + "/5" + flat[:10],
		"{speed: 9, incline: 10, for: 33s}, {speed: 9, incline: 11.5, for: 3s}, {speed: 9, incline: 12, for: 36s}": "10" + flat[:31] + "/__/12" + flat[:33],
	} {
		if got := draw(main); got != want || got != "" && len(got) != 72 {
			t.Errorf("%s:\n%s, want\n%s", main, got, want)
		}
	}
}

// TestShowByFeel: a target without a speed is told as such, and has no distance.
func TestShowByFeel(t *testing.T) {
	p, _ := plan.Read("x.yaml", []byte("class: X\nunits: km/h\nmain: [{feel: [5, 6.5], incline: 2, for: 2m}, {speed: 12, incline: 2, for: 3m}]\n"))
	c, _ := class.Unfold(p)
	var out bytes.Buffer
	if err := Show(&out, c, effort.Mass(70e9)); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"feel 5–6.5      2 %     –\n", "distance 0.60 km, climb 12 m, in 3:00 of 5:00\n", "effort estimated for 3:00 of 5:00: ", "no estimate for 2:00: run by feel\n"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("%q is not in\n%s", want, out.String())
		}
	}
}

func TestColumns(t *testing.T) {
	for s, want := range map[string]int{"abc": 3, "港の": 4, "e\u0301": 1, "é": 1, "ｘ": 2, "–│": 2, "": 0} {
		if got := columns(s); got != want {
			t.Errorf("%q takes %d columns, want %d", s, got, want)
		}
	}
	for _, x := range []struct {
		s    string
		most int
		want string
	}{{"harbour", 7, "harbour"}, {"harbour", 6, "harbo…"}, {"港の階段", 6, "港の…"}, {"港の階段", 7, "港の階…"}, {"e\u0301e\u0301e\u0301", 2, "e\u0301…"}} {
		if got := clip(x.s, x.most); got != x.want {
			t.Errorf("%q in %d columns: %q, want %q", x.s, x.most, got, x.want)
		}
	}
	if got := wrap("ab 港港港 c", 4); strings.Join(got, "|") != "ab|港港|港 c" {
		t.Errorf("wrapped to %q", got)
	}
}
