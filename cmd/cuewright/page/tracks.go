package page

import (
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// TrackURLs are the names of the tracks that may lie beside a page: its own name
// first, then the track's; those that are there now before the others. The page of
// a draft may have the finished track's name, so the draft's own comes first. The
// endings are those of all forms that a track may have.
func TrackURLs(output, track string, draft bool, endings []string) []string {
	stems := []string{track}
	base := filepath.Base(output)
	if s := strings.TrimSuffix(base, filepath.Ext(base)); output != "-" && s != track {
		stems = []string{s, track}
		if draft {
			stems = []string{track, s}
		}
	}
	var there, other []string
	for _, stem := range stems {
		for _, ending := range endings {
			link := (&url.URL{Path: stem + ending}).String()
			if _, err := os.Stat(filepath.Join(filepath.Dir(output), stem+ending)); err == nil {
				there = append(there, link)
			} else {
				other = append(other, link)
			}
		}
	}
	return slices.Concat(there, other)
}
