// Package guides holds what a coach reads about the program beyond the README: one
// Markdown file a topic, which a website shows as it is and a terminal as plain text.
package guides

import (
	"embed"
	"slices"
	"strings"

	"cuewright/cmd/cuewright/cli"
)

//go:embed *.md
var files embed.FS

// Topics are the names of the guides, in the order in which a coach meets them.
// A guide is the file of its name, with the ending .md.
var Topics = []string{"plans", "voices", "levels", "lists", "tracks", "measuring", "effort", "changes"}

// About returns in one line what a guide is for: what follows the colon of its title.
// It panics where there is no such topic.
func About(topic string) string {
	title, _, _ := strings.Cut(markdown(topic), "\n")
	_, about, _ := strings.Cut(title, ": ")
	return about
}

// All are the guides as help shows them.
func All() []cli.Guide {
	var all []cli.Guide
	for _, topic := range Topics {
		text, _ := Text(topic)
		all = append(all, cli.Guide{Name: topic, About: About(topic), Text: text})
	}
	return all
}

// Text returns a guide as plain text for a terminal of 80 columns, or false where
// there is no such topic.
func Text(topic string) (string, bool) {
	if !slices.Contains(Topics, topic) {
		return "", false
	}
	return plain(markdown(topic)), true
}

func markdown(topic string) string {
	data, err := files.ReadFile(topic + ".md")
	if err != nil {
		panic(err) // it is embedded
	}
	return string(data)
}
