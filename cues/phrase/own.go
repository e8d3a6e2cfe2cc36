package phrase

import (
	"reflect"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"cuewright/plan/problem"
	"cuewright/plan/strict"
)

// own is what a voice.yaml may hold.
type own struct {
	Language  strict.Text                        `key:"language" doc:"the BCP 47 tag of what is spoken, English without it"`
	Files     strict.Map[strict.Text]            `key:"files" doc:"what recordings speak, by the names of their files"`
	Numbers   partial[numbers]                   `key:"numbers" doc:"own numbers in words"`
	Times     partial[times]                     `key:"times" doc:"own lengths of time"`
	Targets   partial[targets]                   `key:"targets" doc:"own words for what is dialled in"`
	Sentences partial[strict.Map[[]strict.Text]] `key:"sentences" doc:"own wordings of calls, the fullest first"`
	Parts     partial[partNames]                 `key:"parts" doc:"own names of the parts of a class"`
	Reminders []Reminder                         `key:"reminders" doc:"own reminders"`
}

// ForVoice returns the book of a voice: that of its language, with the words of
// its own that voice.yaml gives (nil where there is none). A table given there
// replaces those keys it has. In a language there is no book for, all of it must
// be given.
//
// File is the name of voice.yaml; the places of the problems are in it. Where
// there are any, the book is that of the language, or else of English. It may be
// shared and must not be changed. Files are what voice.yaml says of recordings, with or
// without problems: whether they are there is for who knows the folder to tell.
func ForVoice(file string, voiceYAML []byte) (b *Book, files strict.Map[strict.Text], problems []problem.Problem) {
	var given map[string]yaml.Node // what is wrong with it is found below
	var err error
	if len(voiceYAML) <= strict.MaxSize {
		err = yaml.Unmarshal(voiceYAML, &given)
	}
	if err == nil && given == nil && len(voiceYAML) <= strict.MaxSize {
		return English(), files, nil // a file that says nothing
	}
	base := English()
	language := lookUp(strings.TrimSpace(given["language"].Value))
	var o own
	if language != nil {
		base = language.book()
		o = own{
			Language:  base.Language,
			Numbers:   rest(base.Numbers, language, "numbers"),
			Times:     rest(base.Times, language, "times"),
			Targets:   rest(base.Targets, language, "targets"),
			Sentences: rest(base.Sentences, language, "sentences"),
			Parts:     rest(base.Parts, language, "parts"),
			Reminders: base.Reminders,
		}
	}
	r := strict.Reader{File: file, Kind: problem.Voice}
	strict.Decode(voiceYAML, &o, &r)
	b = &Book{File: file, Recordings: o.Files, Language: o.Language, Numbers: o.Numbers.table, Times: o.Times.table, Targets: o.Targets.table,
		Sentences: o.Sentences.table, Parts: o.Parts.table, Reminders: o.Reminders}
	b.check(&r)
	if language == nil {
		o.complete(&r)
	}
	if len(r.Problems()) == 0 {
		switch {
		case o.Numbers.pos.IsSet():
			b.checkClear(&r, o.Numbers.pos)
		case o.Times.pos.IsSet():
			b.checkClear(&r, o.Times.pos)
		}
	}
	if problems := r.Problems(); len(problems) > 0 {
		return base, o.Files, problems
	}
	delete(given, "language")
	if len(given) == 0 && o.Language.Value == base.Language.Value {
		return base, o.Files, nil
	}
	return b, o.Files, nil
}

// complete reports what a language without a book still needs.
func (o *own) complete(r *strict.Reader) {
	var missing []string
	for _, table := range []struct {
		key   string
		given bool
	}{
		{"numbers", o.Numbers.pos.IsSet()},
		{"times", o.Times.pos.IsSet()},
		{"targets", o.Targets.pos.IsSet()},
		{"sentences", o.Sentences.pos.IsSet()},
		{"parts", o.Parts.pos.IsSet()},
		{"reminders", o.Reminders != nil},
	} {
		if !table.given {
			missing = append(missing, table.key)
		}
	}
	if len(missing) > 0 && o.Language.Pos.IsSet() {
		r.ErrorfAt(o.Language.Pos, "there is no sentence book for %q, there are: %s. In another language give all words here; still missing: %s",
			o.Language.Value, strings.Join(Languages(), ", "), strings.Join(missing, ", "))
	}
}

// A partial is a table of which any keys may be given; the others are the
// language's.
type partial[T any] struct {
	table T
	pos   problem.Pos // where it was given
	rest  yaml.Node   // the whole table of the language
}

// rest is the table of a language as long as nothing else is given.
func rest[T any](table T, l *language, key string) partial[T] {
	return partial[T]{table: table, rest: l.tables[key]}
}

// Read takes a mapping and fills it up.
func (p *partial[T]) Read(n *yaml.Node, r *strict.Reader) {
	p.pos = strict.PosOf(n)
	var table T
	whole := *n
	if n.Kind == yaml.MappingNode {
		whole.Content = slices.Clone(n.Content)
		for i := 0; i < len(p.rest.Content); i += 2 {
			if key := p.rest.Content[i]; !hasKey(n, key.Value) {
				whole.Content = append(whole.Content, key, p.rest.Content[i+1])
			}
		}
	}
	r.Decode(&whole, &table)
	p.table = table
}

// Schema describes the table, in which no key is required.
func (p *partial[T]) Schema() map[string]any {
	s := strict.Schema(reflect.TypeFor[T]())
	delete(s, "required")
	return s
}

func hasKey(n *yaml.Node, key string) bool {
	for i := 0; i < len(n.Content); i += 2 {
		if n.Content[i].Value == key {
			return true
		}
	}
	return false
}
