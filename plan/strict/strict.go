// Package strict reads YAML into Go types without letting anything slip: an
// unknown or repeated key, an empty list item, a second document, an alias or a
// value of the wrong kind is a problem with its line and column, and all
// problems of a file are found in one pass.
//
// The Go type is the only description of a file. A struct field tagged
//
//	For Duration `key:"for,required" doc:"how long the segment lasts"`
//
// is read from the key "for" and described by the same tag in the JSON Schema
// that [Schema] builds; "filled" asks for a list that is not empty. The tags in:"3s..10m"
// and one-of:"beeps words both" hold a value, or each item of a list, to bounds or to a few
// words; both stand in the schema too. Scalars are types that implement [Leaf]; a struct
// field of type [problem.Pos] named Pos receives the place of the mapping.
//
// The yaml.v3 decoder is used for its parser only. Decoding into structs with
// it loses columns, drops null list items, cuts 2.9 to 2 and reads 010 as 8
// without a word.
package strict

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"gopkg.in/yaml.v3"

	"cuewright/plan/problem"
	"cuewright/plan/strict/hint"
)

// MaxSize is the largest file in bytes that Decode reads. A plan of 10,000
// segments takes about half of it.
const MaxSize = 1 << 20

// A Leaf is a value that reads itself: a scalar, or one with several forms (a
// number or a pair of them).
type Leaf interface {
	// Read takes the value of n; what it cannot take it reports to r.
	Read(n *yaml.Node, r *Reader)
	// Schema describes the values accepted, as a JSON Schema.
	Schema() map[string]any
}

// A Hinter knows why some key is not among a struct's own.
type Hinter interface {
	// Hint explains a key that is wrong here, or returns nothing.
	Hint(key string) string
}

// A Map is a mapping with free keys, in the order of the file.
type Map[T any] struct {
	Pos   problem.Pos
	Keys  []Text
	Items []T
}

// Get returns the item called name.
func (m Map[T]) Get(name string) (T, bool) {
	for i, k := range m.Keys {
		if k.Value == name {
			return m.Items[i], true
		}
	}
	var zero T
	return zero, false
}

// Read takes a mapping.
func (m *Map[T]) Read(n *yaml.Node, r *Reader) {
	if !r.want(n, yaml.MappingNode) {
		return
	}
	m.Pos = PosOf(n)
	for key, value := range r.pairs(n) {
		var k Text
		if k.Read(key, r); !k.Pos.IsSet() {
			continue // no name to speak of it by
		}
		var item T
		r.Decode(value, &item)
		if i := slices.IndexFunc(m.Keys, func(other Text) bool { return other.Value == k.Value }); i >= 0 { // of a file before
			m.Keys[i], m.Items[i] = k, item
			continue
		}
		m.Keys = append(m.Keys, k)
		m.Items = append(m.Items, item)
	}
}

// Schema describes a Map.
func (m *Map[T]) Schema() map[string]any {
	return map[string]any{"type": "object", "additionalProperties": Schema(reflect.TypeFor[T]())}
}

// A Reader collects the problems of one file, all of them errors. File and Kind are the
// file's name, as the user gave it, and what it is.
type Reader struct {
	File string
	Kind problem.Kind
	// Beside is set for a file whose values stand among those of another one: their positions name it.
	Beside bool
	// Root is where the outermost mapping stands that was decoded, and Given are its keys.
	Root  problem.Pos
	Given []string

	problems []problem.Problem
	bounds   *bounds // of the field that is being read
}

// Errorf reports that n is not acceptable.
func (r *Reader) Errorf(n *yaml.Node, format string, args ...any) {
	r.ErrorfAt(PosOf(n), format, args...)
}

// ErrorfAt reports a problem at p.
func (r *Reader) ErrorfAt(p problem.Pos, format string, args ...any) {
	r.problems = append(r.problems, problem.Problem{Severity: problem.Error, Kind: r.Kind, File: r.File, Pos: p,
		Message: fmt.Sprintf(format, args...)})
}

// Problems returns what was reported so far, by place.
func (r *Reader) Problems() []problem.Problem {
	slices.SortStableFunc(r.problems, func(a, b problem.Problem) int {
		if a.Line != b.Line {
			return a.Line - b.Line
		}
		return a.Column - b.Column
	})
	return r.problems
}

// PosOf returns where n stands.
func PosOf(n *yaml.Node) problem.Pos {
	return problem.Pos{Line: n.Line, Column: n.Column, In: n.HeadComment}
}

// mark notes the file of a node and all within it where PosOf finds it. Comments are not read.
func mark(n *yaml.Node, file string) {
	n.HeadComment = file
	for _, in := range n.Content {
		mark(in, file)
	}
}

// ReadFile reads a regular file of at most [MaxSize] bytes, and one more of a larger one, which Decode refuses.
func ReadFile(path string) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, MaxSize+1))
}

// Decode reads data, one YAML document, into the struct that into points to and
// reports everything wrong with it to r. What could be read is set even when
// there are problems.
func Decode(data []byte, into any, r *Reader) {
	if len(data) > MaxSize {
		r.ErrorfAt(problem.Pos{Line: 1, Column: 1}, "the file has %d bytes, at most %d are read", len(data), MaxSize)
		return
	}
	dec := yaml.NewDecoder(bytes.NewReader(data))
	var doc, more yaml.Node
	switch err := dec.Decode(&doc); {
	case errors.Is(err, io.EOF):
		r.ErrorfAt(problem.Pos{Line: 1, Column: 1}, "the file is empty")
		return
	case err != nil:
		r.syntax(data, err)
		return
	}
	root := doc.Content[0]
	file := ""
	if r.Beside {
		file = r.File
	}
	mark(root, file)
	if root.Tag == "!!null" {
		r.Errorf(root, "the file is empty")
		return
	}
	// The decoder stops at "..." or "---" without a word about what follows.
	switch err := dec.Decode(&more); {
	case errors.Is(err, io.EOF):
	case err != nil:
		r.syntax(data, err)
		return
	default:
		r.Errorf(&more, "a second document begins here, a file holds one")
		return
	}
	if end := documentEnd(data); end.IsSet() {
		r.ErrorfAt(end, "text after the end of the document (...) would be ignored: remove it")
	}
	if root.Kind == yaml.MappingNode {
		r.Root = PosOf(root)
	}
	for i := 0; root.Kind == yaml.MappingNode && i < len(root.Content); i += 2 {
		r.Given = append(r.Given, root.Content[i].Value)
	}
	r.value(root, reflect.ValueOf(into).Elem())
}

// documentEnd returns the place of the first line with content after a "..." line.
func documentEnd(data []byte) problem.Pos {
	ended := false
	for i, line := range strings.Split(string(data), "\n") {
		line = strings.TrimRight(line, " \t\r")
		switch {
		case line == "...":
			ended = true
		case ended && line != "" && !strings.HasPrefix(line, "#"):
			return problem.Pos{Line: i + 1, Column: 1}
		}
	}
	return problem.Pos{}
}

// Decode reads n into the value that into points to, whatever its type.
func (r *Reader) Decode(n *yaml.Node, into any) { r.value(n, reflect.ValueOf(into).Elem()) }

func (r *Reader) value(n *yaml.Node, v reflect.Value) {
	if n.Kind == yaml.AliasNode {
		r.Errorf(n, "aliases (*%s) are not read, write the value out", n.Value)
		return
	}
	if n.Anchor != "" {
		r.Errorf(n, "anchors (&%s) are not read, remove it", n.Anchor)
	}
	if n.Tag == "!!null" {
		r.Errorf(n, "there is no value here")
		return
	}
	if leaf, ok := v.Addr().Interface().(Leaf); ok {
		leaf.Read(n, r)
		return
	}
	switch v.Kind() {
	case reflect.Slice:
		if !r.want(n, yaml.SequenceNode) {
			return
		}
		v.Set(reflect.MakeSlice(v.Type(), 0, len(n.Content))) // a default gives way
		for _, item := range n.Content {
			e := reflect.New(v.Type().Elem()).Elem()
			r.value(item, e)
			v.Set(reflect.Append(v, e))
		}
	case reflect.Struct:
		if n.Kind != yaml.MappingNode {
			r.Errorf(n, "keys with values are expected here, not %s%s", describe(n), keysHint(n, Keys(v.Type())))
			return
		}
		r.fields(n, v)
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		r.value(n, v.Elem())
	default:
		panic("strict: no way to read " + v.Type().String())
	}
}

// fields reads the mapping n into the struct v.
func (r *Reader) fields(n *yaml.Node, v reflect.Value) {
	known := Keys(v.Type())
	if p := v.FieldByName("Pos"); p.IsValid() && p.Type() == reflect.TypeFor[problem.Pos]() {
		p.Set(reflect.ValueOf(PosOf(n)))
	}
	given := map[string]bool{}
	for key, value := range r.pairs(n) {
		i := slices.IndexFunc(known, func(k Key) bool { return k.Name == key.Value })
		if i < 0 {
			hint := accepted(key.Value, known)
			if h, ok := v.Addr().Interface().(Hinter); ok && h.Hint(key.Value) != "" {
				hint = ": " + h.Hint(key.Value)
			}
			r.Errorf(key, "unknown key %q%s", key.Value, hint)
			continue
		}
		given[key.Value] = true
		outer := r.bounds
		r.bounds = known[i].bounds
		r.value(value, v.FieldByIndex(known[i].index))
		r.bounds = outer
		if known[i].Filled && value.Kind == yaml.SequenceNode && len(value.Content) == 0 {
			r.Errorf(value, "the list %q is empty, at least one item is expected", key.Value)
		}
	}
	for _, k := range known {
		if k.Required && !given[k.Name] {
			r.Errorf(n, "the key %q is missing: %s", k.Name, k.Doc)
		}
	}
}

// pairs yields the keys and values of a mapping and reports repeated keys.
func (r *Reader) pairs(n *yaml.Node) func(yield func(key, value *yaml.Node) bool) {
	return func(yield func(key, value *yaml.Node) bool) {
		first := map[string]int{}
		for i := 0; i+1 < len(n.Content); i += 2 {
			key, value := n.Content[i], n.Content[i+1]
			if key.Kind != yaml.ScalarNode || key.Tag == "!!merge" {
				r.Errorf(key, "a key must be a plain word")
				continue
			}
			if line, ok := first[key.Value]; ok {
				r.Errorf(key, "the key %q stands already in line %d", key.Value, line)
				continue
			}
			first[key.Value] = key.Line
			if value.Tag == "!!null" {
				also := ""
				if i > 0 && n.Content[i-1].Line == key.Line {
					also = hint.Comma(n.Content[i-1].Value, key.Value) // speed: 5,5 in braces
				}
				r.Errorf(value, "the key %q has no value%s", key.Value, also)
				continue
			}
			if !yield(key, value) {
				return
			}
		}
	}
}

// want reports whether n is of the kind, or says what it is instead.
func (r *Reader) want(n *yaml.Node, kind yaml.Kind) bool {
	if n.Kind == kind {
		return true
	}
	switch kind {
	case yaml.MappingNode:
		r.Errorf(n, "keys with values are expected here, not %s", describe(n))
	default:
		also := ""
		if n.Kind == yaml.ScalarNode {
			also = ": write [" + n.Value + "]"
		}
		r.Errorf(n, "a list is expected here (lines beginning with \"- \"), not %s%s", describe(n), also)
	}
	return false
}

// describe names what n is, for messages.
func describe(n *yaml.Node) string {
	switch n.Kind {
	case yaml.MappingNode:
		return "keys with values"
	case yaml.SequenceNode:
		return "a list"
	}
	return strconv.Quote(n.Value)
}

// accepted lists the keys, the nearest one to a misspelt word first.
func accepted(word string, keys []Key) string {
	names := make([]string, len(keys))
	for i, k := range keys {
		names[i] = k.Name
	}
	if s := hint.Nearest(word, names); s != "" {
		return s + " Accepted here: " + strings.Join(names, ", ")
	}
	return "; accepted here: " + strings.Join(names, ", ")
}

// keysHint tells how a value is written where keys are expected and one alone is required.
func keysHint(n *yaml.Node, known []Key) string {
	required := slices.DeleteFunc(known, func(k Key) bool { return !k.Required })
	if n.Kind != yaml.ScalarNode || len(required) != 1 {
		return ""
	}
	return ": write {" + required[0].Name + ": " + n.Value + "}"
}

// A Key is one key a struct accepts.
type Key struct {
	Name     string
	Required bool
	Filled   bool // a list with at least one item
	Doc      string
	Type     reflect.Type
	index    []int
	bounds   *bounds
}

// Keys lists the keys that a struct type accepts, in the order of its fields.
// The keys of an embedded struct count as its own.
func Keys(t reflect.Type) []Key {
	var keys []Key
	for _, f := range reflect.VisibleFields(t) {
		tag, ok := f.Tag.Lookup("key")
		if !ok {
			continue
		}
		name, rest, _ := strings.Cut(tag, ",")
		options := strings.Split(rest, ",")
		keys = append(keys, Key{name, slices.Contains(options, "required"), slices.Contains(options, "filled"),
			f.Tag.Get("doc"), f.Type, f.Index, readBounds(f.Tag.Get("in"), f.Tag.Get("one-of"), f.Tag.Get("what"), f.Tag.Get("signed"))})
	}
	return keys
}
