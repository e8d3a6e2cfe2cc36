package phrase

import (
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"

	"cuewright/plan/strict"
	"cuewright/plan/units"
)

func isWord(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) || unicode.IsMark(r) }

// Cardinal says a whole number from 0 to 99 as one counts; ok is false for others.
func (b *Book) Cardinal(n int64) (text string, ok bool) {
	if n < 0 || n >= int64(len(b.Numbers.Cardinals)) {
		return "", false
	}
	return b.Numbers.Cardinals[n].Value, true
}

// Number says a number given in tenths: "five point five", "seven", "minus one".
func (b *Book) Number(tenths int64) (text string, ok bool) {
	if tenths < 0 {
		text, ok = b.Number(-tenths)
		return fill(b.Numbers.Negative, "{number}", text), ok
	}
	text, ok = b.Cardinal(tenths / 10)
	if d := tenths % 10; d != 0 && ok {
		tenth, _ := b.Cardinal(d)
		text = fill(b.Numbers.Decimal, "{whole}", text, "{tenth}", tenth)
	}
	return text, ok
}

// Speed says a speed in units u: "eight", "five point five", "six thirty".
func (b *Book) Speed(u units.Unit, s units.Speed) string {
	if !u.Pace() {
		text, _ := b.Number(int64(s))
		return text
	}
	min, _ := b.Cardinal(int64(s / 60))
	sec, _ := b.Cardinal(int64(s % 60))
	form := b.Numbers.Pace
	switch {
	case s%60 == 0:
		form = b.Numbers.PaceFlat
	case s%60 < 10:
		form = b.Numbers.PaceUnderTen
	}
	return fill(form, "{minutes}", min, "{seconds}", sec)
}

// Range says a range of speeds, or the one speed of it.
func (b *Book) Range(u units.Unit, r units.Range) string {
	if r.Single() {
		return b.Speed(u, r.Low)
	}
	return fill(b.Numbers.Range, "{low}", b.Speed(u, r.Low), "{high}", b.Speed(u, r.High))
}

// Feel says a span of perceived exertion, or its one number.
func (b *Book) Feel(f units.RPE) string {
	low, _ := b.Number(f.Low)
	if f.Single() {
		return low
	}
	high, _ := b.Number(f.High)
	return fill(b.Numbers.Range, "{low}", low, "{high}", high)
}

// Time says a length of time of whole seconds up to 99 h: seconds below a
// hundred, except whole minutes; else hours, minutes and seconds. ok is false
// for other lengths.
func (b *Book) Time(d time.Duration) (text string, ok bool) {
	if d <= 0 || d%time.Second != 0 || d >= 100*time.Hour {
		return "", false
	}
	s := int64(d / time.Second)
	var units []string
	say := func(n int64, one, many words) {
		switch {
		case n == 1:
			units = append(units, one.Value)
		case n > 1:
			units = append(units, b.several(many, n))
		}
	}
	if s >= 100 || s%60 == 0 {
		say(s/3600, b.Times.Hour, b.Times.Hours)
		say(s/60%60, b.Times.Minute, b.Times.Minutes)
		s %= 60
	}
	say(s, b.Times.Second, b.Times.Seconds)
	if and := b.Times.And.Value; and != "" && len(units) > 1 {
		units = slices.Insert(units, len(units)-1, and)
	}
	return strings.Join(units, " "), true
}

// several puts n before a noun, in the form that goes with its gender.
func (b *Book) several(noun words, n int64) string {
	counted, _ := b.Cardinal(n)
	with := func(differs strict.Map[words]) string {
		if w, ok := differs.Get(strconv.FormatInt(n, 10)); ok {
			return w.Value
		}
		return counted
	}
	return fill(noun, "{number}", counted, "{masculine}", with(b.Numbers.Masculine), "{feminine}", with(b.Numbers.Feminine))
}

// TimeIn finds the first length of time, in whole seconds up to an hour, that
// the words of a sentence speak of, and the index of the word at which it
// begins. ok is false where they speak of none.
func (b *Book) TimeIn(said []string) (d time.Duration, word int, ok bool) {
	b.spokenOnce.Do(b.indexTimes)
	for i, w := range said {
		for _, t := range b.spoken[w] { // the longest first: "one minute ten seconds" before "one minute"
			if Find(said[i:min(len(said), i+len(t.words))], t.words) == 0 {
				return t.length, i, true
			}
		}
	}
	return 0, 0, false
}

// A spokenTime is one way to say a length of time.
type spokenTime struct {
	words  []string
	length time.Duration
}

// indexTimes fills b.spoken: every spoken length of time by its first word.
func (b *Book) indexTimes() {
	b.spoken = map[string][]spokenTime{}
	add := func(text string, d time.Duration) {
		if w := Words(text); len(w) > 0 {
			b.spoken[w[0]] = append(b.spoken[w[0]], spokenTime{w, d})
		}
	}
	for s := time.Duration(1); s <= 3600; s++ {
		text, _ := b.Time(s * time.Second)
		add(text, s*time.Second)
	}
	// A coach may say "sixty seconds" where the book says "one minute".
	add(b.several(b.Times.Seconds, 60), time.Minute)
	for _, list := range b.spoken {
		slices.SortStableFunc(list, func(x, y spokenTime) int { return len(y.words) - len(x.words) })
	}
}

// NumberWords returns every word that numbers are made of: words that join one
// another without a pause.
func (b *Book) NumberWords() []string {
	seen := map[string]bool{}
	var out []string
	add := func(text string) {
		for _, w := range Words(text) {
			if !seen[w] {
				seen[w] = true
				out = append(out, w)
			}
		}
	}
	n := &b.Numbers
	for _, c := range slices.Concat(n.Cardinals, n.Masculine.Items, n.Feminine.Items) {
		add(c.Value)
	}
	for _, form := range []words{n.Decimal, n.Pace, n.PaceUnderTen} {
		add(fill(form, "{whole}", "", "{tenth}", "", "{minutes}", "", "{seconds}", ""))
	}
	return out
}
