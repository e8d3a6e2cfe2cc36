package voice

import (
	"bytes"
	"cuewright/audio/words"
	"errors"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"golang.org/x/text/unicode/norm"
	"gopkg.in/yaml.v3"
)

// configFile is the file beside the recordings that says what names cannot.
const configFile = "voice.yaml"

// A config is what configFile says.
type config struct {
	language string
	texts    map[string]string // file name in the folder -> folded text
}

// A configReader collects every problem of one configFile.
type configReader struct {
	files  []string // what lies in the folder
	others []string // keys that somebody else reads
	config config
	errs   []error
}

// readConfig reads a configFile strictly. Files are the names in its folder.
// The error holds one line for each problem, in the order of the file. Others are
// keys that are passed over.
func readConfig(data []byte, files []string, others ...string) (config, error) {
	r := configReader{files: files, others: others, config: config{texts: map[string]string{}}}
	if root := r.document(data); root != nil {
		r.mapping(root, "the file", "keys and values", func(key, value *yaml.Node) {
			switch key.Value {
			case "language":
				r.config.language = r.text(value, "language", "a text such as en")
			case "files":
				r.mapping(value, "files", "file names and their texts", r.file)
			default:
				if slices.Contains(r.others, key.Value) {
					return
				}
				r.fail(key, "unknown key %q, accepted are files and language", key.Value)
			}
		})
	}
	return r.config, errors.Join(r.errs...)
}

func (r *configReader) fail(at *yaml.Node, format string, args ...any) {
	r.failAt(at.Line, at.Column, format, args...)
}

func (r *configReader) failAt(line, column int, format string, args ...any) {
	r.errs = append(r.errs, fmt.Errorf("%s:%d:%d: %s", configFile, line, column, fmt.Sprintf(format, args...)))
}

// document gives the root of the only document; nil when there is none.
func (r *configReader) document(data []byte) *yaml.Node {
	var doc, more yaml.Node
	d := yaml.NewDecoder(bytes.NewReader(data))
	if err := d.Decode(&doc); err != nil {
		if err != io.EOF { // an empty file says nothing, which is allowed
			r.syntax(err)
		}
		return nil
	}
	switch err := d.Decode(&more); {
	case err == nil:
		r.fail(&more, "a second document, one is accepted")
	case err != io.EOF:
		r.syntax(err)
	}
	root := doc.Content[0]
	if isNull(root) {
		return nil
	}
	return root
}

var (
	lineOf = regexp.MustCompile(`^yaml: line (\d+): `)
	// The YAML reader counts the lines of these from 0, those of others from 1.
	fromZero = regexp.MustCompile(`did not find expected ('-' indicator|',' or '[\]}]'|key|node content|<document start>)`)
)

func (r *configReader) syntax(err error) {
	text, line := err.Error(), 1
	if m := lineOf.FindStringSubmatch(text); m != nil {
		line, _ = strconv.Atoi(m[1])
		text = text[len(m[0]):]
		if fromZero.MatchString(text) {
			line++
		}
	}
	r.failAt(line, 1, "not readable as YAML: %s, lines such as \"language: en\" are accepted", strings.TrimPrefix(text, "yaml: "))
}

// mapping calls each for the pairs of a mapping, in order; what says what the
// mapping is.
func (r *configReader) mapping(n *yaml.Node, what, accepted string, each func(key, value *yaml.Node)) {
	if n.Kind != yaml.MappingNode {
		r.fail(n, "%s is %s, %s are accepted", what, kind(n), accepted)
		return
	}
	seen := map[string]int{}
	for i := 0; i+1 < len(n.Content); i += 2 {
		key, value := n.Content[i], n.Content[i+1]
		if key.Kind != yaml.ScalarNode {
			r.fail(key, "a key is %s, a plain name is accepted", kind(key))
			continue
		}
		if line, twice := seen[key.Value]; twice {
			r.fail(key, "%q stands here again, it is accepted once (line %d)", key.Value, line)
			continue
		}
		seen[key.Value] = key.Line
		each(key, value)
	}
}

// text gives the value of a text; "" after a problem.
func (r *configReader) text(n *yaml.Node, what, accepted string) string {
	if n.Kind != yaml.ScalarNode || n.ShortTag() != "!!str" {
		r.fail(n, "%s is %s, %s is accepted", what, kind(n), accepted)
		return ""
	}
	if strings.TrimSpace(n.Value) == "" {
		r.fail(n, "%s is empty, %s is accepted", what, accepted)
	}
	return n.Value
}

// file takes one pair of files.
func (r *configReader) file(key, value *yaml.Node) {
	name := key.Value
	i := slices.IndexFunc(r.files, func(f string) bool {
		return f == name || norm.NFC.String(f) == norm.NFC.String(name) // some systems store names decomposed
	})
	switch {
	case name == "..", strings.ContainsAny(name, `/\`):
		r.fail(key, "%q lies outside the folder, the name of a file beside %s is accepted", name, configFile)
	case i < 0:
		r.fail(key, "there is no file %q, the name of a file beside %s is accepted", name, configFile)
	case !readable[ending(name)] && !foreign[ending(name)]:
		r.fail(key, "%q is no recording, .wav, .mp3 and .flac are accepted", name)
	default:
		text := r.text(value, fmt.Sprintf("the text of %q", name), "what it speaks, in quotes where it is a number,")
		if folded := words.Fold(text); folded != "" {
			r.config.texts[r.files[i]] = folded
		} else if strings.TrimSpace(text) != "" {
			r.fail(value, "%q has no words, what %q speaks is accepted", text, name)
		}
	}
}

func isNull(n *yaml.Node) bool { return n.Kind == yaml.ScalarNode && n.ShortTag() == "!!null" }

// kind names what a value is, for messages.
func kind(n *yaml.Node) string {
	switch n.Kind {
	case yaml.MappingNode:
		return "a mapping"
	case yaml.SequenceNode:
		return "a list"
	case yaml.AliasNode:
		return "an alias"
	}
	switch n.ShortTag() {
	case "!!null":
		return "empty"
	case "!!int", "!!float":
		return "a number"
	case "!!bool":
		return "true or false"
	case "!!timestamp":
		return "a date"
	}
	return "a text"
}
