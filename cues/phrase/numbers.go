package phrase

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"cuewright/audio/words"
	"cuewright/plan/strict"
	"cuewright/plan/units"
)

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
	minutes, _ := b.Cardinal(int64(s / 60))
	seconds, _ := b.Cardinal(int64(s % 60))
	form := b.Numbers.Pace
	switch {
	case s%60 == 0:
		form = b.Numbers.PaceFlat
	case s%60 < 10:
		form = b.Numbers.PaceUnderTen
	}
	return fill(form, "{minutes}", minutes, "{seconds}", seconds)
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

// Time says a length of time of whole seconds up to 99 h: up to a minute, and ninety, in seconds; else in hours,
// minutes and seconds, as clocks show it. ok is false for other lengths.
func (b *Book) Time(d time.Duration) (text string, ok bool) {
	if d <= 0 || d%time.Second != 0 || d >= 100*time.Hour {
		return "", false
	}
	s := int64(d / time.Second)
	var units []string
	say := func(n int64, one, many strict.Text) {
		switch {
		case n == 1:
			units = append(units, one.Value)
		case n > 1:
			units = append(units, b.several(many, n))
		}
	}
	if s >= 60 && s != 90 {
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
func (b *Book) several(noun strict.Text, n int64) string {
	for _, s := range b.Before(n) {
		noun.Value = fill(noun, "{"+s.Name+"}", s.Text)
	}
	return noun.Value
}

// Before are the slots for n before a noun: number, masculine and feminine.
func (b *Book) Before(n int64) []Slot {
	counted, _ := b.Cardinal(n)
	with := func(differs strict.Map[strict.Text]) string {
		if w, ok := differs.Get(strconv.FormatInt(n, 10)); ok {
			return w.Value
		}
		return counted
	}
	return []Slot{{Name: "number", Text: counted}, {Name: "masculine", Text: with(b.Numbers.Masculine)}, {Name: "feminine", Text: with(b.Numbers.Feminine)}}
}

// TimeIn finds the first length of time that the words of a sentence speak of, up to 99 h, and the index of the word at
// which it begins. ok is false where they speak of none. An empty word belongs to no time.
func (b *Book) TimeIn(said []string) (d time.Duration, word int, ok bool) {
	b.spokenOnce.Do(b.indexUnits)
	for i := range said {
		if d := b.timeAt(said[i:]); d > 0 {
			return d, i, true
		}
	}
	return 0, 0, false
}

// timeAt is the length of time with which words begin, hours before minutes before seconds; 0 for none.
func (b *Book) timeAt(said []string) time.Duration {
	sum, smallest := time.Duration(0), 100*time.Hour
	for len(said) > 0 {
		u, n := b.unitAt(said, smallest)
		if n == 0 && sum > 0 && len(b.and) > 0 && words.Find(said[:min(len(said), len(b.and))], b.and) == 0 {
			if u, n = b.unitAt(said[len(b.and):], smallest); n > 0 {
				n += len(b.and)
			}
		}
		if n == 0 {
			break
		}
		sum, smallest, said = sum+u.length, u.unit, said[n:]
	}
	return sum
}

// unitAt is the longest number of a unit smaller than the given one with which what is
// said begins, and how many of them it takes; 0 for none.
func (b *Book) unitAt(said []string, below time.Duration) (spokenUnit, int) {
	if len(said) == 0 {
		return spokenUnit{}, 0
	}
	for _, u := range b.spoken[said[0]] {
		if u.unit < below && words.Find(said[:min(len(said), len(u.words))], u.words) == 0 {
			return u, len(u.words)
		}
	}
	return spokenUnit{}, 0
}

// A spokenUnit is how a number of hours, minutes or seconds is said.
type spokenUnit struct {
	words        []string
	unit, length time.Duration
}

// indexUnits fills b.spoken, the longest first: "twenty one minutes" before "twenty".
func (b *Book) indexUnits() {
	b.spoken, b.and = map[string][]spokenUnit{}, words.Of(b.Times.And.Value)
	for _, u := range []struct {
		unit      time.Duration
		one, many strict.Text
	}{
		{time.Hour, b.Times.Hour, b.Times.Hours},
		{time.Minute, b.Times.Minute, b.Times.Minutes},
		{time.Second, b.Times.Second, b.Times.Seconds},
	} {
		for n := int64(1); n <= 99; n++ {
			text := u.one.Value
			if n > 1 {
				text = b.several(u.many, n)
			}
			if w := words.Of(text); len(w) > 0 {
				b.spoken[w[0]] = append(b.spoken[w[0]], spokenUnit{w, u.unit, time.Duration(n) * u.unit})
			}
		}
	}
	for _, list := range b.spoken {
		slices.SortStableFunc(list, func(x, y spokenUnit) int { return len(y.words) - len(x.words) })
	}
}

// NumberWords returns every word that numbers are made of: words that join one another without a pause.
func (b *Book) NumberWords() []string {
	seen := map[string]bool{}
	var out []string
	add := func(text string) {
		for _, w := range words.Of(text) {
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
	for _, form := range []strict.Text{n.Decimal, n.Pace, n.PaceUnderTen} {
		add(fill(form, "{whole}", "", "{tenth}", "", "{minutes}", "", "{seconds}", ""))
	}
	return out
}
