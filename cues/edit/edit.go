// Package edit reads a list of cues back from the CSV form in which it went out,
// as a spreadsheet left it.
package edit

import (
	"bytes"
	"cmp"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math/big"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"cuewright/cues"
	"cuewright/cues/export"
	"cuewright/cues/kind"
	"cuewright/plan/problem"
	"cuewright/plan/strict"
	"cuewright/plan/units"
)

// maxSize bounds a list in bytes; 10,000 segments take about a third of it.
const maxSize = 16 << 20

// Read reads a list for the class of own, the plan's own list. A row that stands
// in own unchanged keeps its exact time and recordings; any other is spoken anew
// by the voice. The end of a row is not read: how long a sentence takes is the voice's
// to say. Nor is its clock, but one that was edited in vain is warned of. All problems
// are the file's. The list is nil where the file cannot be read as one.
func Read(file string, data []byte, own *cues.List, voice cues.Voice) (*cues.List, []problem.Problem) {
	r := reader{file: file, own: own, voice: voice, list: &cues.List{Title: own.Title, Class: own.Class, Book: own.Book}}
	if len(data) > maxSize {
		r.bad(problem.Pos{Line: 1, Column: 1}, "the list has %d bytes, at most %d are read", len(data), maxSize)
		return nil, r.problems
	}
	if !r.rows(bytes.TrimPrefix(data, []byte("\ufeff"))) {
		return nil, r.problems
	}
	slices.SortStableFunc(r.list.Cues, func(a, b cues.Cue) int { return cmp.Compare(a.Start, b.Start) })
	problem.Sort(r.problems)
	return r.list, r.problems
}

type reader struct {
	file     string
	own      *cues.List
	voice    cues.Voice
	list     *cues.List
	problems []problem.Problem
}

func (r *reader) bad(pos problem.Pos, format string, args ...any) {
	r.problems = append(r.problems, problem.Problem{Severity: problem.Error, Kind: problem.List, File: r.file, Pos: pos,
		Message: fmt.Sprintf(format, args...)})
}

// wide reports whether data is text of two bytes a letter: it has a mark at its
// head, or one of the two is always zero.
func wide(data []byte) bool {
	if bytes.HasPrefix(data, []byte{0xFF, 0xFE}) || bytes.HasPrefix(data, []byte{0xFE, 0xFF}) {
		return true
	}
	const enough = 16
	if len(data) < enough {
		return false
	}
	var zeros [2]int
	for i, b := range data[:enough] {
		if b == 0 {
			zeros[i%2]++
		}
	}
	return zeros == [2]int{0, enough / 2} || zeros == [2]int{enough / 2, 0}
}

// key is what tells rows apart.
type key struct {
	start            string // as written by export
	lane, kind, text string
}

// rows reads a list row by row. It is false where no first line with the columns
// is there.
func (r *reader) rows(data []byte) bool {
	if wide(data) {
		r.bad(problem.Pos{Line: 1, Column: 1}, "the list is UTF-16 text: save it as UTF-8")
		return false
	}
	rows := csv.NewReader(bytes.NewReader(data))
	rows.FieldsPerRecord = -1
	rows.LazyQuotes = true
	head, _, _ := bytes.Cut(data, []byte("\n"))
	if bytes.Count(head, []byte(";")) > bytes.Count(head, []byte(",")) {
		rows.Comma = ';'
	} else if bytes.Count(head, []byte("\t")) > bytes.Count(head, []byte(",")) {
		rows.Comma = '\t'
	}
	titles, _ := rows.Read()
	column := map[string]int{}
	for i, t := range titles {
		column[strings.ToLower(strings.TrimSpace(t))] = i
	}
	needed := []string{"start", "lane", "kind", "text"}
	missing := slices.DeleteFunc(slices.Clone(needed), func(name string) bool { _, ok := column[name]; return ok })
	if len(missing) == len(needed) {
		r.bad(problem.Pos{Line: 1, Column: 1}, "the list has no first line with the columns %s", strings.Join(export.Columns, ","))
	} else {
		for _, want := range missing {
			r.bad(problem.Pos{Line: 1, Column: 1}, "there is no column %q; the columns are %s", want, strings.Join(export.Columns, ","))
		}
	}
	if len(missing) > 0 {
		return false
	}
	unchanged := map[key][]*cues.Cue{}
	for i := range r.own.Cues {
		c := &r.own.Cues[i]
		from, _ := export.Milliseconds(r.own, c)
		k := key{export.Seconds(from), string(c.Lane), string(c.Kind), c.Text}
		unchanged[k] = append(unchanged[k], c)
	}
	for {
		row, err := rows.Read()
		if errors.Is(err, io.EOF) {
			return true
		}
		if err != nil {
			var at *csv.ParseError
			if errors.As(err, &at) {
				r.bad(problem.Pos{Line: at.Line, Column: at.Column}, "not readable as CSV: %v", at.Err)
			}
			return true
		}
		if len(strings.TrimSpace(strings.Join(row, ""))) == 0 {
			continue
		}
		get := func(name string) (string, problem.Pos) {
			i, ok := column[name]
			if !ok || i >= len(row) {
				line, _ := rows.FieldPos(0)
				return "", problem.Pos{Line: line, Column: 1}
			}
			line, col := rows.FieldPos(i)
			return strings.TrimSpace(row[i]), problem.Pos{Line: line, Column: col}
		}
		r.row(get, unchanged)
	}
}

// row appends the cue of one row, or says what is wrong with it.
func (r *reader) row(get func(string) (string, problem.Pos), unchanged map[key][]*cues.Cue) {
	start, startPos := get("start")
	lane, lanePos := get("lane")
	why, kindPos := get("kind")
	text, textPos := get("text")
	at, ok := milliseconds(start)
	bad := len(r.problems)
	if !ok {
		r.bad(startPos, "%q is no time: seconds of the track like 12.350 are accepted", start)
	}
	lanes := []string{string(cues.Speech), string(cues.CountLane)}
	if !slices.Contains(lanes, lane) {
		r.bad(lanePos, "there is no lane %q%s", lane, strict.Accepted(lane, lanes))
	}
	var kinds []string
	for _, row := range kind.Table {
		kinds = append(kinds, string(row.Kind))
	}
	switch {
	case !slices.Contains(kinds, why):
		r.bad(kindPos, "there is no kind %q%s", why, strict.Accepted(why, kinds))
	case (why == string(kind.Count)) != (lane == string(cues.CountLane)):
		r.bad(kindPos, "the kind count belongs in the lane count, and nothing else does")
	}
	if text == "" {
		r.bad(textPos, "the text is empty: remove the row, or say what is spoken")
	}
	if len(r.problems) > bad {
		return
	}
	k := key{export.Seconds(at), lane, why, text}
	if same := unchanged[k]; len(same) > 0 {
		unchanged[k] = same[1:]
		c := *same[0]
		if clock, pos := get("clock"); moved(clock, units.FormatClock(c.Start)) {
			r.problems = append(r.problems, problem.Problem{Severity: problem.Warning, Kind: problem.List, File: r.file, Pos: pos,
				Message: "the clock is for the eye only: change the start, in seconds of the track"})
		}
		c.File, c.Pos = r.file, startPos
		r.list.Cues = append(r.list.Cues, c)
		return
	}
	opening := r.own.Class.Opening
	c := cues.Cue{Start: time.Duration(at)*time.Millisecond - opening, Lane: cues.Lane(lane), Kind: kind.Kind(why), Text: text,
		File: r.file, Pos: startPos, Segment: r.segment(time.Duration(at)*time.Millisecond - opening)}
	if c.Lane == cues.CountLane {
		c.Mark = c.Start
		c.Long = text == r.own.Book.Mark()
	}
	cues.SelectTakes(&c, r.own.Class, r.voice)
	if _, missing := r.voice.Measure(text); len(missing) > 0 && c.Lane == cues.Speech {
		r.problems = append(r.problems, problem.Problem{Severity: problem.Error, Kind: cues.Unrecorded, File: r.file, Pos: textPos, Timed: true, At: c.Start, Lasts: c.Length,
			Message: cues.CannotSay(text, missing)})
	}
	r.list.Cues = append(r.list.Cues, c)
}

// clockForm is a clock as written: sign, minutes and seconds.
var clockForm = regexp.MustCompile(`^(-?)([0-9]{2,4}):([0-9]{2}\.[0-9])$`)

// moved reports whether a clock says another time than the one written. Spreadsheets
// may write it in a form of their own, or leave out its hours: neither is an edit.
func moved(clock, written string) bool {
	got, want := clockForm.FindStringSubmatch(clock), clockForm.FindStringSubmatch(written)
	if got == nil || want == nil {
		return false
	}
	minutes := func(text string) int { n, _ := strconv.Atoi(text); return n % 60 }
	return got[1] != want[1] || minutes(got[2]) != minutes(want[2]) || got[3] != want[3]
}

// segment is the index of the segment at a class time, -1 outside.
func (r *reader) segment(t time.Duration) int {
	for i := range r.own.Class.Segments {
		if s := &r.own.Class.Segments[i]; t >= s.Start && t < s.End() {
			return i
		}
	}
	return -1
}

// milliseconds reads decimal seconds, with a point or a comma, to the nearest
// millisecond.
func milliseconds(s string) (int64, bool) {
	s = strings.Replace(s, ",", ".", 1)
	if s == "" || len(s) > 20 || strings.Trim(s, "0123456789.") != "" {
		return 0, false
	}
	x, ok := new(big.Rat).SetString(s)
	if !ok {
		return 0, false
	}
	x.Mul(x, big.NewRat(1000, 1)).Add(x, big.NewRat(1, 2))
	ms := new(big.Int).Quo(x.Num(), x.Denom())
	if !ms.IsInt64() || ms.Int64() > 24*3600*1000 {
		return 0, false
	}
	return ms.Int64(), true
}
