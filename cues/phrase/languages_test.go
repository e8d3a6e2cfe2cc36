package phrase

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"text/tabwriter"
	"time"

	"pgregory.net/rapid"

	"cuewright/audio/words"
	"cuewright/cues/kind"
	"cuewright/plan/class"
	"cuewright/plan/parts"
	"cuewright/plan/strict"
	"cuewright/plan/units"
	"cuewright/testdata/golden"
)

// eachLanguage runs a test for every language there is.
func eachLanguage(t *testing.T, test func(t *testing.T, b *Book)) {
	for _, tag := range Languages() {
		t.Run(tag, func(t *testing.T) {
			t.Parallel()
			b, ok := ForLanguage(tag)
			if !ok || b.Language.Value != tag {
				t.Fatalf("ForLanguage(%q) is a book of %q, %v", tag, b.Language.Value, ok)
			}
			test(t, b)
		})
	}
}

func TestForLanguage(t *testing.T) {
	if got := strings.Join(Languages(), " "); got != "de en es fr" {
		t.Errorf("languages: %s", got)
	}
	for tag, want := range map[string]string{
		"": "en", "de": "de", "de-AT": "de", "DE-at": "de", "es-419": "es", "fr_CH": "fr", "en-GB-oxendict": "en", "de-x-coach": "de",
		"sv": "", "den": "", "-": "", "x-de": "",
	} {
		b, ok := ForLanguage(tag)
		switch {
		case ok != (want != ""):
			t.Errorf("ForLanguage(%q): %v", tag, ok)
		case ok && b.Language.Value != want:
			t.Errorf("ForLanguage(%q) is a book of %q", tag, b.Language.Value)
		}
	}
	if a, _ := ForLanguage("de"); a != builtIn["de"].book() {
		t.Error("the book is not shared")
	}
}

// TestBooks: every book words every kind of call.
func TestBooks(t *testing.T) {
	for _, tag := range Languages() {
		b := builtIn[tag].book()
		for _, p := range builtIn[tag].problems {
			t.Errorf("%s:%d:%d: %s", builtIn[tag].file, p.Line, p.Column, p.Message)
		}
		for _, row := range kind.Table {
			for _, s := range row.Sentences {
				if texts, _ := b.Sentences.Get(s.Key); len(texts) == 0 {
					t.Errorf("%s has no wording %q for the kind %q of cues/kind", builtIn[tag].file, s.Key, row.Kind)
				}
			}
		}
	}
}

// A gender is that of the noun a number stands before.
type gender int

const (
	alone gender = iota
	masculine
	feminine
)

// spellings spell the numbers from 0 to 99 by rule and not from a list. The rules
// are those of Unicode CLDR (common/rbnf/LANGUAGE.xml): en "spellout-cardinal", es
// and de "spellout-numbering" for a number alone, fr "spellout-numbering", which
// is its masculine, and "spellout-cardinal-masculine" and "-feminine" before
// nouns. Only the hyphens of English are spaces here.
var spellings = map[string]func(n int, g gender) string{
	"en": func(n int, _ gender) string {
		ones := strings.Fields("zero one two three four five six seven eight nine ten eleven twelve")
		stems := strings.Fields("- - twen thir for fif six seven eigh nine")
		switch {
		case n <= 12:
			return ones[n]
		case n == 14:
			return "fourteen"
		case n < 20:
			return stems[n-10] + "teen"
		case n%10 == 0:
			return stems[n/10] + "ty"
		}
		return stems[n/10] + "ty " + ones[n%10]
	},
	"es": func(n int, g gender) string {
		ones := strings.Fields("cero uno dos tres cuatro cinco seis siete ocho nueve diez once doce trece catorce quince")
		tens := strings.Fields("- - - treinta cuarenta cincuenta sesenta setenta ochenta noventa")
		joined := func(n int) string { // the stress moves to the end and is written
			return strings.NewReplacer("dos", "dós", "tres", "trés", "seis", "séis").Replace(ones[n])
		}
		switch {
		case n%10 == 1 && n != 11 && g != alone:
			one := map[gender]string{masculine: "un", feminine: "una"}[g]
			switch {
			case n == 1:
				return one
			case n == 21 && g == masculine:
				return "veintiún"
			case n == 21:
				return "veinti" + one
			}
			return tens[n/10] + " y " + one
		case n <= 15:
			return ones[n]
		case n < 20:
			return "dieci" + joined(n-10)
		case n == 20:
			return "veinte"
		case n < 30:
			return "veinti" + joined(n-20)
		case n%10 == 0:
			return tens[n/10]
		}
		return tens[n/10] + " y " + ones[n%10]
	},
	"fr": func(n int, g gender) string {
		ones := strings.Fields("zéro un deux trois quatre cinq six sept huit neuf dix onze douze treize quatorze quinze seize dix-sept dix-huit dix-neuf")
		if g == feminine {
			ones[1] = "une"
		}
		tens := map[int]string{20: "vingt", 30: "trente", 40: "quarante", 50: "cinquante", 60: "soixante", 80: "quatre-vingt"}
		base := n / 10 * 10
		if n >= 60 {
			base = n / 20 * 20 // twenties from sixty on
		}
		switch rest := n - base; {
		case n < 20:
			return ones[n]
		case n == 80:
			return "quatre-vingts"
		case rest == 0:
			return tens[base]
		case (rest == 1 || rest == 11) && base < 80:
			return tens[base] + "-et-" + ones[rest]
		default:
			return tens[base] + "-" + ones[rest]
		}
	},
	"de": func(n int, g gender) string {
		ones := strings.Fields("null eins zwei drei vier fünf sechs sieben acht neun zehn elf zwölf")
		stem := func(n int) string { // before zehn and zig
			return map[int]string{6: "sech", 7: "sieb"}[n] + map[bool]string{true: ones[n]}[n != 6 && n != 7]
		}
		tens := func(n int) string {
			switch n {
			case 2:
				return "zwanzig"
			case 3:
				return "dreißig"
			}
			return stem(n) + "zig"
		}
		switch {
		case n == 1 && g != alone:
			return map[gender]string{masculine: "ein", feminine: "eine"}[g]
		case n <= 12:
			return ones[n]
		case n < 20:
			return stem(n-10) + "zehn"
		case n%10 == 0:
			return tens(n / 10)
		case n%10 == 1:
			return "einund" + tens(n/10)
		}
		return ones[n%10] + "und" + tens(n/10)
	},
}

// nouns are the units of time, one and several, and their gender.
var nouns = map[string][3]struct {
	one, several string
	gender       gender
}{
	"en": {{"second", "seconds", alone}, {"minute", "minutes", alone}, {"hour", "hours", alone}},
	"es": {{"segundo", "segundos", masculine}, {"minuto", "minutos", masculine}, {"hora", "horas", feminine}},
	"fr": {{"seconde", "secondes", feminine}, {"minute", "minutes", feminine}, {"heure", "heures", feminine}},
	"de": {{"Sekunde", "Sekunden", feminine}, {"Minute", "Minuten", feminine}, {"Stunde", "Stunden", feminine}},
}

// TestSpelling compares the words of every number and time with the rules.
func TestSpelling(t *testing.T) {
	point := map[string]string{"en": "point", "es": "coma", "fr": "virgule", "de": "Komma"} // "x.x" of the rules
	minus := map[string]string{"en": "minus", "es": "menos", "fr": "moins", "de": "minus"}  // "-x"
	eachLanguage(t, func(t *testing.T, b *Book) {
		tag := b.Language.Value
		spell, units := spellings[tag], nouns[tag]
		same := func(got, want string) {
			t.Helper()
			if got != want {
				t.Errorf("%q, the rules say %q", got, want)
			}
		}
		for n := range 100 {
			got, _ := b.Cardinal(int64(n))
			same(got, spell(n, alone))
			for tenth := range 10 {
				want := spell(n, alone)
				if tenth > 0 {
					want += " " + point[tag] + " " + spell(tenth, alone)
				}
				got, _ := b.Number(int64(10*n + tenth))
				same(got, want)
				if 10*n+tenth > 0 {
					got, _ := b.Number(-int64(10*n + tenth))
					same(got, minus[tag]+" "+want)
				}
			}
			for i, noun := range units {
				unit := []time.Duration{time.Second, time.Minute, time.Hour}[i]
				if n == 0 || i < 2 && n >= 60 && !(i == 0 && n == 90) {
					continue // said in the next larger unit
				}
				want := spell(n, noun.gender) + " " + noun.several
				if n == 1 {
					want = spell(1, noun.gender) + " " + noun.one
				}
				got, _ := b.Time(time.Duration(n) * unit)
				same(got, want)
			}
		}
		// The tables hold what differs and nothing else.
		for g, differs := range map[gender]strict.Map[strict.Text]{masculine: b.Numbers.Masculine, feminine: b.Numbers.Feminine} {
			if len(differs.Keys) == 0 {
				continue
			}
			for n := range 100 {
				want := spell(n, g)
				got, ok := differs.Get(fmt.Sprint(n))
				if differ := want != spell(n, alone); ok != differ || differ && got.Value != want {
					t.Errorf("%d before a noun is %q, %v, the rules say %q", n, got.Value, ok, want)
				}
			}
		}
	})
}

// TestSeveralUnits says times of more than one unit.
func TestSeveralUnits(t *testing.T) {
	for tag, want := range map[string]string{
		"en": "two hours one minute twenty one seconds",
		"es": "dos horas un minuto y veintiún segundos",
		"fr": "deux heures une minute vingt-et-une secondes",
		"de": "zwei Stunden eine Minute einundzwanzig Sekunden",
	} {
		b, _ := ForLanguage(tag)
		if got, _ := b.Time(2*time.Hour + 81*time.Second); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

// fixed fills every slot with a word that no book knows.
func fixed(more ...Slot) []Slot {
	slots := slices.Clone(more)
	for _, name := range strings.Fields("time changes needed targets part set sets number masculine feminine changed speed outer outers") {
		slots = append(slots, Slot{Name: name, Text: "q" + name})
	}
	return append(slots, Slot{"effort", "qeffort", true}, Slot{"class", "qclass", true}, Slot{"block", "qblock", true})
}

// TestTimeIn finds every time of a book again inside its sentences.
func TestTimeIn(t *testing.T) {
	eachLanguage(t, func(t *testing.T, b *Book) {
		timed := map[string]bool{}
		rapid.Check(t, func(t *rapid.T) {
			d := time.Duration(rapid.IntRange(1, 12*3600).Draw(t, "seconds")) * time.Second
			text, _ := b.Time(d)
			low, high := units.Speed(rapid.IntRange(90, 999).Draw(t, "low")), units.Speed(rapid.IntRange(90, 999).Draw(t, "high"))
			unit := rapid.SampledFrom([]units.Unit{units.KmH, units.Mph, units.MinKm, units.MinMile}).Draw(t, "units")
			to := class.Target{Speed: units.Range{Low: low, High: high}, Incline: rapid.Int64Range(-30, 400).Draw(t, "incline"), HasIncline: true}
			c := b.Change(unit, 0, nil, to)
			slots := fixed(Slot{"time", text, false}, Slot{"changes", c.Full, false})
			for _, call := range kind.Sentences() {
				for _, w := range b.Wordings(call.Key, slots...) {
					said := words.Of(w.Text)
					at := words.Find(said, words.Of(text))
					got, word, ok := b.TimeIn(said)
					if ok != (at >= 0) || ok && (got != d || word != at) {
						t.Fatalf("TimeIn finds %v at word %d in %q, want %v at %d", got, word, w.Text, d, at)
					}
					if w.Time != at {
						t.Fatalf("the time of %q begins at word %d, not %d", w.Text, at, w.Time)
					}
					timed[call.Key] = timed[call.Key] || ok
				}
			}
		})
		if len(timed) != len(kind.Sentences()) || !timed["ahead"] || !timed["left"] || timed["mark"] {
			t.Errorf("calls that speak of a time: %v", timed)
		}
		minute := b.several(b.Times.Seconds, 60)
		if d, _, ok := b.TimeIn(words.Of(minute)); !ok || d != time.Minute {
			t.Errorf("%q is %v", minute, d)
		}
		// No pace may be taken for a time, or the truth of a call could not be told.
		for s := units.Speed(90); s < 3600; s++ {
			if d, _, ok := b.TimeIn(words.Of(b.Speed(units.MinKm, s) + ", " + fill(b.Targets.Incline, "{incline}", b.Numbers.Cardinals[1].Value))); ok {
				t.Fatalf("the pace %q is taken for a time of %v", b.Speed(units.MinKm, s), d)
			}
		}
	})
}

// TestClear holds what is said apart: two numbers, two paces, two times, and two
// calls that mean different things are never said alike.
func TestClear(t *testing.T) {
	eachLanguage(t, func(t *testing.T, b *Book) {
		apart := func() func(meaning, text string) {
			heard := map[string]string{}
			return func(meaning, text string) {
				key := strings.Join(words.Of(text), " ")
				if key == "" {
					t.Errorf("nothing is said for %s", meaning)
				}
				if other, ok := heard[key]; ok && other != meaning {
					t.Errorf("%q is said for %s and for %s", text, meaning, other)
				}
				heard[key] = meaning
			}
		}
		paces, numbers := apart(), apart()
		for s := units.Speed(90); s < 3600; s++ {
			paces(units.MinKm.Format(s), b.Speed(units.MinKm, s))
		}
		for tenths := int64(-999); tenths <= 999; tenths++ {
			text, _ := b.Number(tenths)
			numbers(units.FormatTenths(tenths), text)
		}

		said := apart()
		for s := 1; s <= 3600; s++ {
			d := time.Duration(s) * time.Second
			text, _ := b.Time(d)
			time := words.Of(text)
			for _, call := range []string{"ahead", "left", "end", "now"} {
				for _, w := range b.Wordings(call, fixed(Slot{"time", text, false})...) {
					if words.Find(words.Of(w.Text), time) >= 0 {
						said(call+" of "+d.String(), w.Text)
					}
				}
			}
		}
		for n := range 100 {
			text, _ := b.Cardinal(int64(n))
			said(fmt.Sprint("counting ", n), text)
			for _, w := range b.Wordings("set", Slot{"set", text, false}, Slot{"sets", b.Numbers.Cardinals[99-n].Value, false}) {
				said(fmt.Sprint("set ", n), w.Text)
			}
		}
		for name, text := range map[string]strict.Text{"warm-up": b.Parts.WarmUp, "main": b.Parts.Main, "cool-down": b.Parts.CoolDown} {
			said("part "+name, text.Value)
		}
		for _, call := range kind.Sentences() {
			for _, w := range b.Wordings(call.Key, fixed()...) {
				said(call.Key, w.Text)
			}
		}
		for i, r := range b.Reminders {
			said(fmt.Sprint("reminder ", i), r.Text.Value)
		}
		tg := b.Targets
		for key, text := range map[string]string{"keep-speed": tg.KeepSpeed.Value, "keep-pace": tg.KeepPace.Value, "keep-incline": tg.KeepIncline.Value,
			"keep-all": tg.KeepAll.Value, "keep-all-pace": tg.KeepAllPace.Value, "speed": fill(tg.Speed, "{speed}", "qn"),
			"keep-feel": tg.KeepFeel.Value, "keep-all-feel": tg.KeepAllFeel.Value, "step-up": tg.StepUp.Value, "step-up-pace": tg.StepUpPace.Value,
			"feel": fill(tg.Feel, "{feel}", "qn"), "pace": fill(tg.Pace, "{speed}", "qn"), "incline": fill(tg.Incline, "{incline}", "qn")} {
			said(key, text)
		}
		for _, f := range []string{"easy", "work", "climb"} {
			n := 0
			for _, r := range b.Reminders {
				if slices.ContainsFunc(r.Fits, func(x strict.Text) bool { return x.Value == f }) {
					n++
				}
			}
			if n < 4 {
				t.Errorf("only %d reminders fit %s", n, f)
			}
		}
	})
}

// TestEveryCall has each call worded with every slot the rest of the program
// fills, and without a name.
func TestEveryCall(t *testing.T) {
	eachLanguage(t, func(t *testing.T, b *Book) {
		for _, call := range kind.Sentences() {
			all, _ := b.Sentences.Get(call.Key)
			var slots []Slot
			for _, name := range strings.Fields(call.Slots) {
				slots = append(slots, Slot{name, "x", slices.Contains(names, "{"+name+"}")})
			}
			ways := b.Wordings(call.Key, slots...)
			if len(ways) == 0 || len(ways) != len(all) {
				t.Errorf("%s: %d of %d wordings are filled", call.Key, len(ways), len(all))
			}
			if !slices.ContainsFunc(ways, func(w Wording) bool { return len(w.Names) == 0 }) {
				t.Errorf("the call %q cannot be made without a name", call.Key)
			}
		}
		if len(b.Wordings("ahead", Slot{"needed", "x", false})) == 0 || len(b.Wordings("end")) == 0 {
			t.Error("a change cannot be warned of without a time")
		}
	})
}

// TestNumberWords has every word of every number, and none of the rest.
func TestNumberWords(t *testing.T) {
	eachLanguage(t, func(t *testing.T, b *Book) {
		has := map[string]bool{}
		for _, w := range b.NumberWords() {
			if has[w] || len(words.Of(w)) != 1 || words.Of(w)[0] != w {
				t.Errorf("%q is there twice or no word", w)
			}
			has[w] = true
		}
		spell, minus := spellings[b.Language.Value], words.Of(fill(b.Numbers.Negative, "{number}", ""))
		for n := range 100 {
			tenths, _ := b.Number(int64(10*n + 5))
			pace := b.Speed(units.MinKm, units.Speed(60*(n%60)+n%59+1))
			for _, text := range []string{tenths, pace, spell(n, masculine), spell(n, feminine)} {
				for _, w := range words.Of(text) {
					if b.Language.Value == "de" && (w == "ein" || w == "eine") {
						continue // written out under times
					}
					if !has[w] {
						t.Errorf("the word %q of %q is missing", w, text)
					}
				}
			}
		}
		for _, w := range append(words.Of(b.several(b.Times.Minutes, 2))[1:], minus...) {
			if has[w] {
				t.Errorf("%q is no word of a number", w)
			}
		}
	})
}

// TestPages compares what each language says with its page in testdata: read one
// to judge a book.
func TestPages(t *testing.T) {
	eachLanguage(t, func(t *testing.T, b *Book) {
		golden.Compare(t, filepath.Join("testdata", b.Language.Value+".txt"), page(b))
	})
}

// page writes down what a book says.
func page(b *Book) string {
	var out strings.Builder
	w := tabwriter.NewWriter(&out, 0, 0, 2, ' ', 0)
	title := func(text string) {
		w.Flush()
		fmt.Fprintf(&out, "\n%s\n", text)
	}
	line := func(what, said string) { fmt.Fprintf(w, "  %s\t%s\n", what, said) }

	fmt.Fprintf(&out, "What is said in the language %q. Written by a test, from the book.\n", b.Language.Value)
	title("Numbers")
	for ten := range 10 {
		var row []string
		for n := 10 * ten; n < 10*ten+10; n++ {
			row = append(row, b.Numbers.Cardinals[n].Value)
		}
		line(fmt.Sprintf("%d-%d", 10*ten, 10*ten+9), strings.Join(row, ", "))
	}
	for _, tenths := range []int64{5, 10, 15, 55, 121, 210, 215, -10, -15} {
		text, _ := b.Number(tenths)
		line(units.FormatTenths(tenths), text)
	}
	line("5.5 to 7 km/h", b.Range(units.KmH, units.Range{Low: 55, High: 70}))

	title("Paces")
	for _, s := range []units.Speed{300, 305, 330, 361, 601, 630, 1260, 1281} {
		line(units.MinKm.Format(s), b.Speed(units.MinKm, s))
	}
	line("6:30 to 5:00", b.Range(units.MinKm, units.Range{Low: 390, High: 300}))

	title("Times")
	for _, s := range []int{1, 2, 10, 21, 31, 45, 60, 61, 75, 81, 90, 100, 101, 120, 150, 600, 1260, 1261, 3600, 3660, 5400, 7200, 75600, 75661} {
		d := time.Duration(s) * time.Second
		text, _ := b.Time(d)
		line(d.String(), text)
	}

	title("Changes")
	at := func(low, high units.Speed, incline int64) class.Target {
		return class.Target{Speed: units.Range{Low: low, High: high}, Incline: incline, HasIncline: true}
	}
	flat := func(low, high units.Speed) class.Target {
		return class.Target{Speed: units.Range{Low: low, High: high}}
	}
	felt := func(low, high, incline int64) class.Target {
		return class.Target{ByFeel: true, RPE: units.RPE{Low: low, High: high}, Incline: incline, HasIncline: true}
	}
	for _, c := range []struct {
		what     string
		unit     units.Unit
		step     units.Speed
		from, to class.Target
	}{
		{"both", units.KmH, 0, at(60, 60, 10), at(80, 110, 50)},
		{"the speed", units.KmH, 0, at(60, 60, 10), at(95, 95, 10)},
		{"the incline", units.KmH, 0, at(60, 60, 10), at(60, 60, -15)},
		{"nothing", units.KmH, 0, at(60, 60, 10), at(60, 60, 10)},
		{"a pace", units.MinKm, 0, at(390, 390, 10), at(330, 300, 10)},
		{"incline at a pace", units.MinKm, 0, at(390, 390, 10), at(390, 390, 60)},
		{"nothing at a pace", units.MinKm, 0, at(390, 390, 10), at(390, 390, 10)},
		{"without inclines", units.KmH, 0, flat(60, 60), flat(80, 80)},
		{"a step up", units.KmH, 5, flat(80, 80), flat(85, 85)},
		{"a step up and incline", units.KmH, 1, at(80, 80, 10), at(81, 81, 40)},
		{"a step up alone", units.KmH, 1, at(80, 80, 10), at(81, 81, 10)},
		{"a step faster", units.MinKm, 5, flat(330, 330), flat(325, 325)},
		{"to feel", units.KmH, 0, at(60, 60, 10), felt(70, 70, 10)},
		{"a range of feel", units.KmH, 0, at(60, 60, 10), felt(60, 75, 20)},
		{"from feel", units.KmH, 0, felt(70, 70, 10), at(80, 80, 10)},
		{"feel stays", units.KmH, 0, felt(70, 70, 10), felt(70, 70, 40)},
		{"nothing by feel", units.KmH, 0, felt(70, 70, 10), felt(70, 70, 10)},
	} {
		line(c.what, b.Change(c.unit, c.step, &c.from, c.to).Full)
	}

	title("Calls")
	from := at(60, 60, 10)
	change := b.Change(units.KmH, 0, &from, at(60, 60, 50))
	all := b.Change(units.KmH, 0, nil, at(60, 60, 10)).All
	twenty, _ := b.Time(20 * time.Second)
	minute, _ := b.Time(time.Minute)
	for _, call := range kind.Sentences() {
		span := twenty
		if strings.HasPrefix(call.Key, "now") {
			span = minute
		}
		what := call.Key
		for _, w := range b.Wordings(call.Key, Slot{"class", "HARBOUR STEPS", true}, Slot{"effort", "CREST", true}, Slot{"time", span, false},
			Slot{"targets", all, false}, Slot{"changes", change.Full, false}, Slot{"needed", change.Needed, false},
			Slot{"part", b.Part(parts.WarmUp), false}, Slot{"set", b.Numbers.Cardinals[1].Value, false}, Slot{"sets", b.Numbers.Cardinals[4].Value, false}) {
			line(what, w.Text)
			what = ""
		}
	}
	left, _ := b.Sentences.Get("left")
	line("left, of a minute", fill(left[0], "{time}", minute))

	title("Parts")
	line("warm-up", b.Part(parts.WarmUp))
	line("main", b.Part(parts.Main))
	line("cool-down", b.Part(parts.CoolDown))

	title("Reminders")
	for _, r := range b.Reminders {
		var fits []string
		for _, f := range r.Fits {
			fits = append(fits, f.Value)
		}
		line(strings.Join(fits, ", "), r.Text.Value)
	}
	w.Flush()
	return out.String()
}
