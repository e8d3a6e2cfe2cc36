package voice

import (
	"slices"
	"strings"
)

// A phrase is one text and all its takes.
type phrase struct {
	text  string // folded
	words int
	takes []*recording // by byTake; never empty
}

// An index finds phrases by their folded text.
type index struct {
	phrases map[string]*phrase
	longest int // words of the longest phrase
}

func newIndex(recordings []*recording) index {
	x := index{phrases: map[string]*phrase{}}
	for _, r := range recordings {
		p := x.phrases[r.text]
		if p == nil {
			p = &phrase{text: r.text, words: 1 + strings.Count(r.text, " ")}
			x.phrases[r.text] = p
			x.longest = max(x.longest, p.words)
		}
		p.takes = append(p.takes, r)
	}
	for _, p := range x.phrases {
		slices.SortFunc(p.takes, byTake)
	}
	return x
}

// A step says how the words from one place to the end are best covered.
type step struct {
	lost  int     // words that nothing covers
	clips int     // recordings, lost words among them
	take  *phrase // the first recording; nil for a lost word
	words int     // how many words the first recording covers
}

func (s step) better(than step) bool {
	if s.lost != than.lost {
		return s.lost < than.lost
	}
	return s.clips < than.clips
}

// cover finds the fewest phrases that speak the words one after another; among
// equals the one whose first phrase is longer, and so on from left to right,
// so that there is only one answer. Phrases in skip are left alone. Words that
// nothing covers are avoided first of all; those that remain come back as
// missing, each once and in the order of the words, and the phrases are those
// around them.
//
// It is a shortest path from the last word to the first. Its work grows with the
// words times the longest phrase, not with the number of recordings.
func (x index) cover(words []string, skip map[*phrase]bool) (parts []*phrase, missing []string) {
	path := x.path(words, skip, nil)
	for i := 0; i < len(words); i += path[i].words {
		if take := path[i].take; take != nil {
			parts = append(parts, take)
		} else if !slices.Contains(missing, words[i]) {
			missing = append(missing, words[i])
		}
	}
	if missing == nil {
		return parts, nil
	}
	missing = x.needed(words, skip, missing)
	slices.SortFunc(missing, func(a, b string) int { return slices.Index(words, a) - slices.Index(words, b) })
	return parts, missing
}

// needed drops from missing what is not needed once the rest is recorded: a
// word that stands in the sentence several times costs one recording, which the
// path, counting places, does not see.
func (x index) needed(words []string, skip map[*phrase]bool, missing []string) []string {
	for i := 0; i < len(missing); {
		rest := slices.Delete(slices.Clone(missing), i, i+1)
		if x.path(words, skip, rest)[0].lost == 0 {
			missing = rest
		} else {
			i++
		}
	}
	return missing
}

// path holds a step for every word, and an empty one for the end. Words in
// granted count as recorded.
func (x index) path(words []string, skip map[*phrase]bool, granted []string) []step {
	joined := strings.Join(words, " ")
	path := make([]step, len(words)+1)
	start := len(joined) + 1 // of word i in joined
	for i := len(words) - 1; i >= 0; i-- {
		start -= len(words[i]) + 1
		alone := step{lost: path[i+1].lost + 1, clips: path[i+1].clips + 1, words: 1}
		if slices.Contains(granted, words[i]) {
			alone.lost--
		}
		best, end := alone, start-1
		for n := 1; n <= min(x.longest, len(words)-i); n++ {
			end += 1 + len(words[i+n-1])
			take := x.phrases[joined[start:end]]
			if take == nil || skip[take] {
				continue
			}
			s := step{path[i+n].lost, path[i+n].clips + 1, take, n}
			if !best.better(s) { // equals go to the longer
				best = s
			}
		}
		path[i] = best
	}
	return path
}
