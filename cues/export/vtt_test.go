package export_test

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"pgregory.net/rapid"

	"cuewright/cues/export"
)

// captions is the folder of published rules and examples.
const captions = "../../testdata/reference/captions/"

// A caption as a strict reader finds it, in milliseconds.
type caption struct {
	from, to int64
	text     string
}

// readVTT reads WebVTT as W3C "WebVTT: The Web Video Text Tracks Format", section
// "WebVTT file structure", wants it to be written (testdata/reference/captions/
// webvtt_rules.json lists the rules). Players forgive a lot; this reader forgives
// nothing: style and region blocks, and settings of a cue, are not for our files
// and errors too.
func readVTT(file string) ([]caption, error) {
	if !utf8.ValidString(file) || strings.ContainsRune(file, 0) {
		return nil, fmt.Errorf("not UTF-8, or a zero in it")
	}
	file = strings.TrimPrefix(file, "\ufeff")
	file = strings.ReplaceAll(strings.ReplaceAll(file, "\r\n", "\n"), "\r", "\n")
	lines := strings.Split(file, "\n")
	if head := lines[0]; head != "WEBVTT" && !strings.HasPrefix(head, "WEBVTT ") && !strings.HasPrefix(head, "WEBVTT\t") || strings.Contains(head, "-->") {
		return nil, fmt.Errorf("the head is %q", head)
	}
	if len(lines) < 3 || lines[1] != "" {
		return nil, fmt.Errorf("no empty line after the head")
	}
	if lines[len(lines)-1] != "" {
		return nil, fmt.Errorf("the last line has no end")
	}
	var found []caption
	names := map[string]bool{}
	last := int64(0)
	for i := 2; i < len(lines); i++ {
		if lines[i] == "" {
			continue
		}
		var block []string
		for ; i < len(lines) && lines[i] != ""; i++ {
			block = append(block, lines[i])
		}
		if first := block[0]; first == "NOTE" || strings.HasPrefix(first, "NOTE ") || strings.HasPrefix(first, "NOTE\t") {
			if strings.Contains(strings.Join(block, "\n"), "-->") {
				return nil, fmt.Errorf("an arrow in the comment %q", block)
			}
			continue
		}
		if !strings.Contains(block[0], "-->") {
			if names[block[0]] {
				return nil, fmt.Errorf("two cues of the name %q", block[0])
			}
			names[block[0]] = true
			block = block[1:]
		}
		if len(block) < 2 {
			return nil, fmt.Errorf("no timings or no text in %q", block)
		}
		c, err := readTimings(block[0])
		if err != nil {
			return nil, err
		}
		if c.from < last {
			return nil, fmt.Errorf("%q begins before the cue above it", block[0])
		}
		last = c.from
		if c.text, err = readPayload(strings.Join(block[1:], "\n")); err != nil {
			return nil, err
		}
		found = append(found, c)
	}
	return found, nil
}

var arrow = regexp.MustCompile(`^([^ \t]+)[ \t]+-->[ \t]+([^ \t]+)$`)

func readTimings(line string) (c caption, err error) {
	m := arrow.FindStringSubmatch(line)
	if m == nil {
		return c, fmt.Errorf("the timings are %q", line)
	}
	if c.from, err = readStamp(m[1]); err != nil {
		return c, err
	}
	if c.to, err = readStamp(m[2]); err != nil {
		return c, err
	}
	if c.to <= c.from {
		return c, fmt.Errorf("%q ends before it begins", line)
	}
	return c, nil
}

var stamp = regexp.MustCompile(`^(?:([0-9]{2,}):)?([0-5][0-9]):([0-5][0-9])\.([0-9]{3})$`)

func readStamp(text string) (int64, error) {
	m := stamp.FindStringSubmatch(text)
	if m == nil {
		return 0, fmt.Errorf("the time stamp %q", text)
	}
	var n [4]int64
	for i, digits := range m[1:] {
		n[i], _ = strconv.ParseInt("0"+digits, 10, 64)
	}
	return ((n[0]*60+n[1])*60+n[2])*1000 + n[3], nil
}

var escape = regexp.MustCompile(`&(amp|lt|gt|lrm|rlm|nbsp);`)

// readPayload is the text that a player shows.
func readPayload(text string) (string, error) {
	if strings.Contains(text, "-->") || strings.Contains(text, "<") || strings.Contains(escape.ReplaceAllString(text, ""), "&") {
		return "", fmt.Errorf("the text %q is not escaped", text)
	}
	return strings.NewReplacer("&amp;", "&", "&lt;", "<", "&gt;", ">").Replace(text), nil
}

// The reader itself, by the published examples and time stamps.
func TestStrictReader(t *testing.T) {
	for name, bad := range map[string]string{"example": "", "bad_comma": "time stamp", "bad_order": "begins before", "bad_end_before_start": "ends before"} {
		data, err := os.ReadFile(captions + name + ".vtt")
		if err != nil {
			t.Fatal(err)
		}
		found, err := readVTT(string(data))
		if bad == "" && (err != nil || len(found) != 3 || found[0] != caption{5000, 7250, "Segment 1: walk, 5.0 to 5.5 km/h, 1 % incline & settle"}) {
			t.Errorf("%s: %v, %v", name, found, err)
		}
		if bad != "" && (err == nil || !strings.Contains(err.Error(), bad)) {
			t.Errorf("%s is taken for good: %v, %v", name, found, err)
		}
	}
	for name, bad := range map[string]string{
		"no head":        "00:01.000 --> 00:02.000\nx\n",
		"other head":     "WEBVTTX\n\n",
		"no empty line":  "WEBVTT\n00:01.000 --> 00:02.000\nx\n",
		"no text":        "WEBVTT\n\n00:01.000 --> 00:02.000\n\n",
		"no space":       "WEBVTT\n\n00:01.000-->00:02.000\nx\n",
		"arrow in text":  "WEBVTT\n\n00:01.000 --> 00:02.000\na --> b\n",
		"bare ampersand": "WEBVTT\n\n00:01.000 --> 00:02.000\na & b\n",
		"bare less-than": "WEBVTT\n\n00:01.000 --> 00:02.000\na < b\n",
		"no length":      "WEBVTT\n\n00:01.000 --> 00:01.000\nx\n",
		"name twice":     "WEBVTT\n\na\n00:01.000 --> 00:02.000\nx\n\na\n00:01.000 --> 00:02.000\nx\n",
		"no end of line": "WEBVTT\n\n00:01.000 --> 00:02.000\nx",
		"not UTF-8":      "WEBVTT\n\n00:01.000 --> 00:02.000\n\xff\n",
	} {
		if found, err := readVTT(bad); err == nil {
			t.Errorf("%s is taken for good: %v", name, found)
		}
	}
	for _, row := range readTable(t, "webvtt_timestamps.csv") {
		ms, err := readStamp(row["timestamp"])
		if valid := row["valid"] == "1"; valid != (err == nil) || valid && strconv.FormatInt(ms, 10) != row["ms"] {
			t.Errorf("%q: %d ms, %v; want %s", row["timestamp"], ms, err, row["ms"])
		}
	}
}

// readTable reads a published table, a row by its columns.
func readTable(t *testing.T, name string) []map[string]string {
	t.Helper()
	f, err := os.Open(captions + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
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

// TestVTT: captions of any text at any time are read by the strict reader, in
// order, with the text they were given.
func TestVTT(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringOfN(rapid.SampledFrom([]rune("ab <>&-;é\u2028")), 1, 12, -1)
		want := map[string]int{}
		var texts []string
		var starts []int
		for range rapid.IntRange(1, 6).Draw(t, "cues") {
			one := "x" + text.Draw(t, "text")
			texts = append(texts, one)
			starts = append(starts, rapid.IntRange(0, 5_000_000).Draw(t, "start"))
			want[strings.Join(strings.Fields(one), " ")]++
		}
		var out bytes.Buffer
		if err := export.VTT(&out, list(t, "A --> B & <C>", texts, starts)); err != nil {
			t.Fatal(err)
		}
		found, err := readVTT(out.String())
		if err != nil || len(found) != len(texts) {
			t.Fatalf("%d captions of %d, %v in\n%s", len(found), len(texts), err, out.String())
		}
		for _, c := range found {
			if want[c.text]--; want[c.text] < 0 {
				t.Fatalf("there is no text %q", c.text)
			}
		}
	})
}

// TestStamps: a frame of the track is told as the table of frames and stamps has it.
func TestStamps(t *testing.T) {
	for _, row := range readTable(t, "sample_to_webvtt.csv") {
		frame, _ := strconv.ParseInt(row["sample"], 10, 64)
		rate, _ := strconv.ParseInt(row["fs_hz"], 10, 64)
		l := list(t, "X", []string{"x"}, []int{0})
		l.Class.Plan.Track.Rate.Value = int(rate)
		// The time that rounds to the frame.
		l.Cues[0].Start += time.Duration((frame*1_000_000_000 + rate/2) / rate)
		var out bytes.Buffer
		if err := export.VTT(&out, l); err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(out.String(), "\n"+row["webvtt"]+" --> ") {
			t.Errorf("frame %d at %d: %s, want %s", frame, rate, out.String(), row["webvtt"])
		}
	}
}
