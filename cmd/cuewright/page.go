package main

import (
	"flag"
	"io"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"cuewright/cmd/cuewright/page"
	"cuewright/plan/class"
)

var pageCommand = &command{
	name:  "page",
	args:  "PLAN [-o FILE] [--level LEVEL] [--mass 70kg] [--cues LIST] [--draft]",
	short: "write the class as one HTML file: to see, play, project and print",
	long: `The file needs no network and opens from a disk. It draws the class over time with
every call and every problem, plays the track that lies beside it (.wav, .flac, .mp3,
.m4a or .opus, under the page's own name or the plan's; with --draft the draft's
first), fills a studio's screen with the present segment, its targets at each level
and the time left, and prints on one or two sheets, or more from some 45 segments on.
Without -o it is written to PLAN's name with the ending .html in the present folder.
`,
	options: func(f *flag.FlagSet, s *settings) {
		voiceOption(f, s)
		settingOptions(f, s, false)
		massOption(f, s)
		cuesOption(f, s)
		f.StringVar(&s.output, "o", "", "write to `FILE`, which ends in .html or .htm; - for the terminal")
		f.BoolVar(&s.draft, "draft", false, "let a computer voice speak what is not recorded yet, as in render --draft")
	},
	run: func(c *call) error {
		name, err := c.onePlan()
		if err != nil {
			return err
		}
		if c.set.output != "" && c.set.output != "-" {
			if err := checkEnding("a page", c.set.output, pageEndings...); err != nil {
				return err
			}
		}
		j, err := load(c.ctx, name, &c.set)
		if err != nil {
			return err
		}
		printProblems(c.err, j.problems)
		if j.list == nil {
			return errProblems
		}
		output := c.set.output
		if output == "" {
			output = trackName(name, j.level(), c.set.draft) + ".html"
		}
		p := page.New(j.list, j.problems, c.set.mass)
		if err := j.addLevels(p, &c.set); err != nil {
			return err
		}
		p.Tracks = trackURLs(output, trackName(name, j.level(), c.set.draft), c.set.draft)
		write := func(w io.Writer) error { return p.Write(w) }
		if output == "-" {
			err = write(c.out)
		} else if err = j.refuse(output); err == nil {
			err = writeFile(output, func(f *os.File) error { return write(f) })
		}
		if err != nil {
			return err
		}
		// A page shows what is wrong, so it is written with errors too.
		return verdict(j.problems, false)
	},
}

// addLevels tells on the page what the levels make of the ranges of a class for none.
func (j *job) addLevels(p *page.Page, set *settings) error {
	ranged := func(s class.Segment) bool { return !s.Target.Speed.Single() || !s.Target.RPE.Single() }
	if j.level() != class.NoLevel || !slices.ContainsFunc(j.class.Segments, ranged) {
		return nil
	}
	for _, level := range class.Levels {
		setting, err := set.setting(j.plan, level)
		if err != nil {
			return err
		}
		c, _ := setting.Unfold(j.plan)
		p.AddLevel(c)
	}
	return nil
}

// playable are the endings under which a page looks for its track.
var playable = []string{".wav", ".flac", ".mp3", ".m4a", ".opus"}

// trackURLs are the names of the tracks that may lie beside a page: its own name
// first, then the track's; those that are there now before the others. The page of
// a draft may have the finished track's name, so the draft's own comes first.
func trackURLs(output, track string, draft bool) []string {
	stems := []string{track}
	if s := stemOf(output); output != "-" && s != track {
		stems = []string{s, track}
		if draft {
			stems = []string{track, s}
		}
	}
	var there, other []string
	for _, stem := range stems {
		for _, ending := range playable {
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

// stemOf is a file's name without folder and ending.
func stemOf(path string) string {
	base := filepath.Base(path)
	return strings.TrimSuffix(base, filepath.Ext(base))
}
