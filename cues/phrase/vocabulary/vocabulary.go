// Package vocabulary lists what a sentence book may say, to tell recordings that no
// sentence uses.
package vocabulary

import (
	"reflect"
	"regexp"

	"cuewright/cues/phrase"
	"cuewright/plan/strict"
)

var anySlot = regexp.MustCompile(`\{[^{}]*\}`)

// Of lists every text of a book without its slots: together they hold every
// word that is not a name or a sentence of a plan.
func Of(b *phrase.Book) []string {
	var out []string
	var walk func(v reflect.Value)
	walk = func(v reflect.Value) {
		switch v.Kind() {
		case reflect.Struct:
			if t, ok := v.Interface().(strict.Text); ok {
				out = append(out, anySlot.ReplaceAllString(t.Value, " "))
				return
			}
			for i := range v.NumField() {
				if f := v.Type().Field(i); f.IsExported() && f.Name != "Keys" && f.Name != "Recordings" { // names are not spoken
					walk(v.Field(i))
				}
			}
		case reflect.Slice:
			for i := range v.Len() {
				walk(v.Index(i))
			}
		}
	}
	walk(reflect.ValueOf(b).Elem())
	return out
}
