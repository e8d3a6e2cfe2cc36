package phrase

import (
	"embed"
	"maps"
	"slices"
	"strings"
	"sync"

	"gopkg.in/yaml.v3"

	"cuewright/plan/problem"
)

//go:embed english.yaml french.yaml german.yaml spanish.yaml
var files embed.FS

// builtIn are the languages there is a book for, by BCP 47 tag.
var builtIn = map[string]*language{
	"de": {file: "german.yaml"},
	"en": {file: "english.yaml"},
	"es": {file: "spanish.yaml"},
	"fr": {file: "french.yaml"},
}

// A language is a book that is read when it is first asked for.
type language struct {
	file string
	once sync.Once
	read *Book
	// problems are none: a test holds every book to that. A call that a book does not word
	// is not made.
	problems []problem.Problem
	// tables are the book as it is written, for those who bring words of their own.
	tables map[string]yaml.Node
}

func (l *language) book() *Book {
	l.once.Do(func() {
		data, err := files.ReadFile(l.file)
		if err != nil {
			panic(err) // it is embedded
		}
		b, problems := Read(data)
		l.read, l.problems = b, problems
		if err := yaml.Unmarshal(data, &l.tables); err != nil {
			panic(err) // it was read just now
		}
	})
	return l.read
}

// lookUp finds the language of a tag by leaving away subtags from the end (RFC
// 4647, 3.4), nil where there is none. No tag is English.
func lookUp(tag string) *language {
	tag = strings.ToLower(strings.ReplaceAll(tag, "_", "-")) // as systems write their locale
	if tag == "" {
		tag = "en"
	}
	for {
		if l := builtIn[tag]; l != nil {
			return l
		}
		end := strings.LastIndexByte(tag, '-')
		if end < 0 {
			return nil
		}
		tag = tag[:end]
	}
}

// Languages lists the BCP 47 tags of the languages there is a book for.
func Languages() []string { return slices.Sorted(maps.Keys(builtIn)) }

// ForLanguage returns the book for a BCP 47 tag: "de-AT" is served by "de", and
// "" by English. ok is false where there is none. The book is shared and must not
// be changed.
func ForLanguage(tag string) (b *Book, ok bool) {
	l := lookUp(tag)
	if l == nil {
		return nil, false
	}
	return l.book(), true
}

// English returns the book of English. It is shared and must not be changed.
func English() *Book { return builtIn["en"].book() }
