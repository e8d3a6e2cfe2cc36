// Package samples holds the demo voice and the demo plans that are built into
// the program.
package samples

import (
	"embed"
	"io/fs"
	"strings"
)

//go:embed voice
var voice embed.FS

//go:embed *.yaml
var plans embed.FS

const ending = ".yaml"

// Voice returns the folder of the demo voice: recordings named after what they
// speak, and voice.yaml.
func Voice() fs.FS {
	sub, err := fs.Sub(voice, "voice")
	if err != nil {
		panic(err) // the name is valid
	}
	return sub
}

// Plan returns the text of the demo plan of that name, one of [Plans]. The error
// wraps fs.ErrNotExist where there is none.
func Plan(name string) ([]byte, error) { return plans.ReadFile(name + ending) }

// Plans returns the names of the demo plans, sorted: their files' names without
// the ending.
func Plans() []string {
	entries, err := plans.ReadDir(".") // sorted by name
	if err != nil {
		panic(err) // the root is always there
	}
	var names []string
	for _, e := range entries {
		names = append(names, strings.TrimSuffix(e.Name(), ending))
	}
	return names
}
