package phrase

import (
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"cuewright/audio/words"
	"cuewright/cues/kind"
	"cuewright/plan/problem"
	"cuewright/plan/strict"
	"cuewright/plan/units"
)

var anySlot = regexp.MustCompile(`\{[^{}]*\}`)

// names are the slots that hold what the coach named.
var names = []string{"{effort}", "{class}", "{block}"}

// check reports what is wrong with the texts of b that were read.
func (b *Book) check(r *strict.Reader) {
	b.checkNumbers(r)
	for _, table := range []any{b.Numbers, b.Times, b.Targets, b.Parts} {
		v := reflect.ValueOf(table)
		for i := range v.NumField() {
			tag := v.Type().Field(i).Tag
			needs, ok := tag.Lookup("slots")
			text, _ := v.Field(i).Interface().(strict.Text)
			if !ok || !text.Pos.IsSet() {
				continue
			}
			key, _, _ := strings.Cut(tag.Get("key"), ",")
			checkSlots(r, key, text, strings.ReplaceAll(needs, "|", " "), needs)
		}
	}
	b.checkSentences(r)
	for _, rem := range b.Reminders {
		checkSlots(r, "text", rem.Text, "", "")
		for _, f := range rem.Fits {
			if fits := []string{"easy", "work", "climb"}; f.Pos.IsSet() && !slices.Contains(fits, f.Value) {
				r.ErrorfAt(f.Pos, "a reminder fits easy, work or climb, not %q", f.Value)
			}
		}
	}
}

// checkSlots looks at the slots of the text of a key: only those accepted may be
// there and those needed must be, of some parted by | one.
func checkSlots(r *strict.Reader, key string, t strict.Text, accepts, needs string) {
	if !t.Pos.IsSet() {
		return
	}
	accepted, needed := strings.Fields(accepts), strings.Fields(needs)
	has := anySlot.FindAllString(t.Value, -1)
	for _, s := range has {
		switch name := strings.Trim(s, "{}"); {
		case len(accepted) == 0:
			r.ErrorfAt(t.Pos, "%q has no slots, %s would not be filled", key, s)
		case !slices.Contains(accepted, name):
			r.ErrorfAt(t.Pos, "%q has no slot %s%s", key, s, strict.Accepted(name, accepted))
		}
	}
	if strings.ContainsAny(anySlot.ReplaceAllString(t.Value, ""), "{}") {
		r.ErrorfAt(t.Pos, "a slot is a name in braces like {time}, this is half of one")
	}
	for _, need := range needed {
		options := strings.Split("{"+strings.ReplaceAll(need, "|", "}|{")+"}", "|")
		if !slices.ContainsFunc(options, func(o string) bool { return slices.Contains(has, o) }) {
			r.ErrorfAt(t.Pos, "%q needs the slot %s", key, strings.Join(options, " or "))
		}
	}
	if len(needed) == 0 && len(words.Of(anySlot.ReplaceAllString(t.Value, "x"))) == 0 {
		r.ErrorfAt(t.Pos, "there is no word in %q", t.Value)
	}
}

func (b *Book) checkNumbers(r *strict.Reader) {
	n := &b.Numbers
	if c := n.Cardinals; len(c) > 0 && len(c) != 100 && c[0].Pos.IsSet() {
		r.ErrorfAt(c[0].Pos, "the numbers from 0 to 99 are expected, these are %d", len(c))
	}
	said := map[string]int{}
	for i, c := range n.Cardinals {
		checkSlots(r, "cardinals", c, "", "")
		text := strings.Join(words.Of(c.Value), " ")
		if other, ok := said[text]; ok && text != "" {
			r.ErrorfAt(c.Pos, "%d is said like %d: %q", i, other, c.Value)
		}
		said[text] = i
	}
	for _, differs := range []strict.Map[strict.Text]{n.Masculine, n.Feminine} {
		for i, key := range differs.Keys {
			if v, err := strconv.Atoi(key.Value); err != nil || v < 0 || v > 99 || strconv.Itoa(v) != key.Value {
				r.ErrorfAt(key.Pos, "%q is no number from 0 to 99", key.Value)
			}
			checkSlots(r, key.Value, differs.Items[i], "", "")
		}
	}
}

func (b *Book) checkSentences(r *strict.Reader) {
	if !b.Sentences.Pos.IsSet() {
		return
	}
	var known []string
	for _, c := range kind.Sentences() {
		known = append(known, c.Key)
		i := slices.IndexFunc(b.Sentences.Keys, func(k strict.Text) bool { return k.Value == c.Key })
		if i < 0 {
			r.ErrorfAt(b.Sentences.Pos, "the sentences have no %q", c.Key)
			continue
		}
		pos, wordings := b.Sentences.Keys[i].Pos, b.Sentences.Items[i]
		own := slices.DeleteFunc(slices.Clone(names), func(n string) bool { return !slices.Contains(strings.Fields(c.Slots), strings.Trim(n, "{}")) })
		nameless := len(own) == 0
		for _, w := range wordings {
			checkSlots(r, c.Key, w, c.Slots, c.Needs)
			nameless = nameless || !slices.ContainsFunc(names, func(n string) bool { return strings.Contains(w.Value, n) })
		}
		switch {
		case wordings == nil: // no list, as was said already
		case len(wordings) == 0:
			r.ErrorfAt(pos, "%q has no wording, at least one is expected", c.Key)
		case !nameless:
			r.ErrorfAt(pos, "%q needs a wording without %s, for a voice that does not know the name", c.Key, strings.Join(own, " and "))
		}
	}
	for _, key := range b.Sentences.Keys {
		if !slices.Contains(known, key.Value) {
			r.ErrorfAt(key.Pos, "there is no call %q%s", key.Value, strict.Accepted(key.Value, known))
		}
	}
}

// checkClear reports at p what a listener to the book's numbers and times could
// not tell apart, and what would keep the truth of a call from being checked.
func (b *Book) checkClear(r *strict.Reader, p problem.Pos) {
	for d := time.Second; d <= time.Hour; d += time.Second {
		text, _ := b.Time(d)
		if heard, word, ok := b.TimeIn(words.Of(text)); !ok || heard != d || word != 0 {
			r.ErrorfAt(p, "%s is said %q, which is not understood as that", d, text)
			break
		}
	}
	said := map[string]units.Speed{}
	for s := units.Speed(90); s < 3600; s++ {
		text := b.Speed(units.MinKm, s)
		key := strings.Join(words.Of(text), " ")
		if d, _, ok := b.TimeIn(words.Of(text)); ok {
			r.ErrorfAt(p, "the pace %s is said %q, which is the time %s", units.MinKm.Format(s), text, d)
			break
		}
		if other, ok := said[key]; ok {
			r.ErrorfAt(p, "the pace %s is said like %s: %q", units.MinKm.Format(s), units.MinKm.Format(other), text)
			break
		}
		said[key] = s
	}
	numbers := map[string]int64{}
	for tenths := int64(-999); tenths <= 999; tenths++ {
		text, _ := b.Number(tenths)
		key := strings.Join(words.Of(text), " ")
		if other, ok := numbers[key]; ok {
			r.ErrorfAt(p, "%s is said like %s: %q", units.FormatTenths(tenths), units.FormatTenths(other), text)
			break
		}
		numbers[key] = tenths
	}
}
