// Package hint knows what people write by mistake, and what they mean by it.
package hint

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
)

// What people write in place of a number, and what they mean by it.
var (
	decimalComma = regexp.MustCompile(`^([-+]?[0-9]+),([0-9]+)$`)
	withPercent  = regexp.MustCompile(`^([-+]?[0-9.]+) ?%$`)
	withDash     = regexp.MustCompile(`^([0-9.:]+) ?(?:-|–|to|\.\.) ?([0-9.:]+)$`)
	withUnit     = regexp.MustCompile(`(?i)^([0-9.:]+) ?(km/?h|kph|mph|mi/h|min/km|min/mile|/km|/mi(?:le)?|spm|steps(?:/min)?)$`)
)

// Number tells what to write in place of a text that is no number, ": write 5.5";
// "" where nobody knows.
func Number(text string) string {
	if m := decimalComma.FindStringSubmatch(text); m != nil {
		return ": write " + m[1] + "." + m[2] + ", with a point"
	}
	if m := withDash.FindStringSubmatch(text); m != nil {
		return ": a range is written [" + m[1] + ", " + m[2] + "]"
	}
	if m := withPercent.FindStringSubmatch(text); m != nil {
		return ": write " + strings.TrimPrefix(m[1], "+") + ", without the sign"
	}
	if m := withUnit.FindStringSubmatch(text); m != nil {
		return ": write " + m[1] + " alone, a plan has one unit, which stands in units"
	}
	return ""
}

var (
	minutesWord = regexp.MustCompile(`(?i)^([0-9]+) ?(?:min|mins|minutes?|')$`)
	minutesBoth = regexp.MustCompile(`(?i)^([0-9]+) ?(?:min|m|')\.? ?([0-9]{1,2}) ?(?:s|sec|secs|seconds?|"|'')?$`)
	secondsWord = regexp.MustCompile(`(?i)^([0-9]+) ?(?:sec|secs|seconds?|"|'')$`)
	thousands   = regexp.MustCompile(`(?i)^([0-9]+(?:\.[0-9]+)?) ?k$`)
)

// Duration tells what to write in place of a text that is no length of time, "write 5m"; "" where nobody knows.
func Duration(text string) string {
	if m := minutesWord.FindStringSubmatch(text); m != nil {
		return "write " + m[1] + "m"
	}
	if m := minutesBoth.FindStringSubmatch(text); m != nil {
		return "write " + m[1] + "m" + m[2] + "s"
	}
	if m := secondsWord.FindStringSubmatch(text); m != nil {
		return "write " + m[1] + "s"
	}
	if m := thousands.FindStringSubmatch(text); m != nil {
		return "write " + m[1] + " km for a distance"
	}
	return ""
}

// Comma tells what to write where a number with a decimal comma was read as two: ": write 5.5"; "" for other texts.
func Comma(before, after string) string {
	if before == "" || after == "" || strings.Trim(before+after, "0123456789") != "" {
		return ""
	}
	return ": write " + before + "." + after + ", with a point"
}

// Sign returns the number of a text with a plus sign; ok is false for any other.
func Sign(text string) (number string, ok bool) {
	number, ok = strings.CutPrefix(text, "+")
	return number, ok && number != "" && strings.Trim(number, "0123456789.") == ""
}

// Thousand tells which of the accepted numbers a text in thousands means: 44.1 is 44100.
func Thousand(text string, accepted []string) string {
	f, err := strconv.ParseFloat(strings.TrimRight(strings.ToLower(text), " khz"), 64)
	if err != nil {
		return ""
	}
	for _, word := range accepted {
		if v, err := strconv.Atoi(word); err == nil && float64(v) == f*1000 {
			return ": write " + word
		}
	}
	return ""
}

// Nearest returns `: did you mean "name"?` for the name nearest to word, or
// nothing where none is near: at most a third of the word mistyped.
func Nearest(word string, names []string) string {
	best, least := "", max(1, len(word)/3)+1
	for _, name := range names {
		if d := distance(strings.ToLower(word), strings.ToLower(name)); d < least {
			best, least = name, d
		}
	}
	if best == "" {
		return ""
	}
	return fmt.Sprintf(": did you mean %q?", best)
}

// distance is the number of letters to insert, delete, replace or swap with
// their neighbour to turn a into b (Damerau 1964, restricted form).
func distance(a, b string) int {
	x, y := []rune(a), []rune(b)
	rows := make([][]int, len(x)+1)
	for i := range rows {
		rows[i] = make([]int, len(y)+1)
		rows[i][0] = i
	}
	for j := range rows[0] {
		rows[0][j] = j
	}
	for i := 1; i <= len(x); i++ {
		for j := 1; j <= len(y); j++ {
			change := 1
			if x[i-1] == y[j-1] {
				change = 0
			}
			d := min(rows[i-1][j]+1, rows[i][j-1]+1, rows[i-1][j-1]+change)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				d = min(d, rows[i-2][j-2]+1)
			}
			rows[i][j] = d
		}
	}
	return rows[len(x)][len(y)]
}
