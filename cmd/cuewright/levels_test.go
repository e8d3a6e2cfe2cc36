package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	"cuewright/cmd/cuewright/cli"
	"cuewright/cues/export"
	"cuewright/plan/class"
	"cuewright/plan/units"
	"cuewright/testdata/golden"
)

// output runs a command that must print without a problem.
func output(t *testing.T, args ...string) string {
	t.Helper()
	var out, errOut bytes.Buffer
	if status := run(context.Background(), args, &out, &errOut); status != cli.OK || errOut.Len() > 0 {
		t.Fatalf("%v: status %d: %s", args, status, errOut.String())
	}
	return out.String()
}

// TestLevelsOfTheDemo compares the demo class of every level, in every form of its
// list, with golden files, and the numbers of the forms with each other.
func TestLevelsOfTheDemo(t *testing.T) {
	t.Chdir("../../testdata/levels")
	speeds := map[class.Level]string{
		// Worked out by hand from the ranges 4.5–6, 7.5–10 and 8–11 km/h: outside the sets
		// the middle, 8 to 11 by thirds, between the four sets 7.5, 8.75, 10; half up.
		class.Lower:       "4.5 7.5 8 8 7.5 8 8 7.5 8 8 7.5 8 8 7.5 4.5",
		class.Middle:      "5.3 8.8 9.5 9.5 8.8 9.5 9.5 8.8 9.5 9.5 8.8 9.5 9.5 8.8 5.3",
		class.Upper:       "6 10 11 11 10 11 11 10 11 11 10 11 11 10 6",
		class.Progressive: "5.3 8.8 8 8 7.5 9 9 8.8 10 10 10 11 11 8.8 5.3",
	}
	for _, level := range class.Levels {
		forms := map[string]string{}
		for _, form := range []string{"text", "json", "vtt"} {
			got := output(t, "cues", "sample:harbour-steps", "--level", string(level), "--format", form)
			forms[form] = got
			golden.Compare(t, fmt.Sprintf("harbour-steps-%s.%s", level, strings.Replace(form, "text", "txt", 1)), got)
		}
		var d export.Document
		if err := json.Unmarshal([]byte(forms["json"]), &d); err != nil {
			t.Fatal(err)
		}
		if d.Level != string(level) {
			t.Errorf("the level in JSON is %q", d.Level)
		}
		var dialled, ruled []string
		for _, s := range d.Segments {
			if len(s.Speed) != 1 || len(s.Written.Speed) != 2 {
				t.Errorf("%s: %v of %v", level, s.Speed, s.Written.Speed)
			}
			dialled = append(dialled, strconv.FormatFloat(s.Speed[0], 'f', -1, 64))
		}
		for _, m := range regexp.MustCompile(`── ([0-9.]+) km/h`).FindAllStringSubmatch(forms["text"], -1) {
			ruled = append(ruled, m[1])
		}
		if got := strings.Join(dialled, " "); got != speeds[level] {
			t.Errorf("%s dials in %s, want %s", level, got, speeds[level])
		}
		if !slices.Equal(dialled, ruled) {
			t.Errorf("%s: %v in JSON, %v in the text", level, dialled, ruled)
		}
		// What is called is what was dialled in: the calls hold the changes, in words.
		var calls, want []string
		number := regexp.MustCompile(`speed ([a-z ]+)`)
		for _, q := range d.Cues {
			if m := number.FindStringSubmatch(q.Text); m != nil && q.Kind == "ahead" {
				calls = append(calls, m[1])
				if !strings.Contains(forms["vtt"], "\n"+q.Text+"\n") || !strings.Contains(forms["text"], " "+q.Text+"\n") {
					t.Errorf("%q is not in every form", q.Text)
				}
			}
		}
		last := ""
		for _, n := range dialled {
			if n != last {
				want = append(want, inWords(n))
			}
			last = n
		}
		if !slices.Equal(calls, want) {
			t.Errorf("%s calls %q, want %q", level, calls, want)
		}
		if head, _, _ := strings.Cut(forms["vtt"], "\n"); head != "WEBVTT Harbour Steps, "+string(level) {
			t.Errorf("the captions are called %q", head)
		}
	}
	if files, _ := filepath.Glob("*"); len(files) != 12 {
		t.Errorf("%d golden files, want 12", len(files))
	}
}

// inWords says a speed below twenty.
func inWords(number string) string {
	small := strings.Fields("zero one two three four five six seven eight nine ten eleven twelve")
	whole, tenth, decimal := strings.Cut(number, ".")
	n, _ := strconv.Atoi(whole)
	if !decimal {
		return small[n]
	}
	d, _ := strconv.Atoi(tenth)
	return small[n] + " point " + small[d]
}

// TestListOfALevel: a list that went out for a level comes back as it was, at the
// same level only.
func TestListOfALevel(t *testing.T) {
	list := filepath.Join(t.TempDir(), "list.csv")
	for _, set := range [][]string{{"--level", "progressive"}, {"--level", "upper", "--units", "min/mile", "--step", "10s"}, {"--units", "mph"}} {
		args := append([]string{"sample:harbour-steps"}, set...)
		if err := os.WriteFile(list, []byte(output(t, append([]string{"cues", "--format", "csv"}, args...)...)), 0o644); err != nil {
			t.Fatal(err)
		}
		got := output(t, append([]string{"check", "--cues", list}, args...)...)
		if !strings.HasSuffix(got, ": no problems\n") {
			t.Errorf("%v: %s", set, got)
		}
		var out, errOut bytes.Buffer
		if status := run(context.Background(), []string{"check", "--cues", list, "sample:harbour-steps"}, &out, &errOut); status != cli.Problems ||
			!strings.Contains(out.String(), "unwarned") {
			t.Errorf("without %v: status %d, %s%s", set, status, out.String(), errOut.String())
		}
	}
}

// TestShowFits: the demo classes fit into 80 columns at every level and in every unit.
func TestShowFits(t *testing.T) {
	for _, sample := range []string{"sample:harbour-steps", "sample:lantern-mile"} {
		for _, level := range []class.Level{class.Levels[0], class.NoLevel} {
			for _, unit := range units.Names() {
				for line := range strings.Lines(output(t, "show", sample, "--level", string(level), "--units", unit)) {
					if n := utf8.RuneCountInString(strings.TrimSuffix(line, "\n")); n > 80 {
						t.Errorf("%s %s %s: %d columns: %s", sample, level, unit, n, line)
					}
				}
			}
		}
	}
}
