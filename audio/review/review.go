// Package review judges all recordings of a voice: each by itself, and beside its companions, which tell what
// one recording alone does not.
package review

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"runtime"
	"slices"
	"strings"
	"sync"

	"cuewright/audio/faults"
	"cuewright/audio/voice"
	"cuewright/audio/words"
)

const (
	// echoShare is the part of a voice's recordings that must seem to echo
	// (measured for this project: single words do in every dry room).
	echoShare = 0.20

	// levelApart in LU is three times the standard deviation of the difference of
	// two recordings of one voice, whose loudness has one of up to 2.0 (measured
	// for this project).
	levelApart = 8.5
	// lengthApart is how many times as long as another a take of one text may be
	// (our choice: the words a class counts with should keep their pace).
	lengthApart = 1.5
)

// Voice judges every recording of a voice, several at a time, and lists all of
// them, sorted by file. Vocabulary are the words that sentences can have, folded
// as by words.Fold; nil where they are not known. The error is that of the
// context.
func Voice(ctx context.Context, v *voice.Voice, vocabulary map[string]bool) ([]faults.Report, error) {
	recordings := v.Recordings()
	reports := make([]faults.Report, len(recordings))
	var work sync.WaitGroup
	next := make(chan int)
	for range min(runtime.GOMAXPROCS(0), len(recordings)) {
		work.Go(func() {
			for i := range next {
				reports[i] = judgeFile(v, recordings[i])
			}
		})
	}
	for i := range recordings {
		if ctx.Err() != nil {
			break
		}
		next <- i
	}
	close(next)
	work.Wait()
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	dropEcho(reports)
	unevenTakes(reports)
	if vocabulary != nil {
		unused(reports, vocabulary)
	}
	for _, f := range v.Faults() { // of files that cannot be opened
		reports = append(reports, faults.Unread(f.File, f.Text, errors.New(f.Message)))
	}
	slices.SortFunc(reports, func(a, b faults.Report) int { return cmp.Compare(a.File, b.File) })
	return reports, nil
}

func judgeFile(v *voice.Voice, r voice.Recording) faults.Report {
	clip, err := v.Decode(r)
	if err != nil {
		err = errors.New(strings.TrimPrefix(err.Error(), r.File+": "))
		return faults.Unread(r.File, r.Text, err)
	}
	report := faults.Judge(clip, r.Text)
	report.File = r.File
	return report
}

func isEcho(f faults.Fault) bool { return f.Kind == faults.Echo }

// dropEcho removes the suspicion of an echo that too few share.
func dropEcho(reports []faults.Report) {
	count := 0
	for _, r := range reports {
		if slices.ContainsFunc(r.Faults, isEcho) {
			count++
		}
	}
	if float64(count) > echoShare*float64(len(reports)) {
		return
	}
	for i := range reports {
		reports[i].Faults = slices.DeleteFunc(reports[i].Faults, isEcho)
	}
}

// unevenTakes compares every take with the first of its text. Takes of one text
// stand one after the other.
func unevenTakes(reports []faults.Report) {
	var first *faults.Report
	for i := range reports {
		r := &reports[i]
		if r.Seconds == 0 {
			continue
		}
		if first == nil || first.Text != r.Text {
			first = r
			continue
		}
		add := func(measured, limit float64, unit, than string) {
			r.Faults = append(r.Faults, faults.Fault{Kind: faults.UnevenTakes, Severity: faults.Warning, Measured: measured, Limit: limit, Unit: unit,
				Advice: fmt.Sprintf("%s than %s: record the takes of one text alike", than, first.File)})
		}
		if d := r.Loudness - first.Loudness; math.Abs(d) > levelApart {
			than := "much louder"
			if d < 0 {
				than = "much softer"
			}
			add(math.Abs(d), levelApart, "LU apart", than)
		}
		if q := r.Seconds / first.Seconds; q > lengthApart {
			add(q, lengthApart, "times as long", "much longer")
		} else if 1/q > lengthApart {
			add(1/q, lengthApart, "times as short", "much shorter")
		}
	}
}

// unused finds texts with words that no sentence has.
func unused(reports []faults.Report, vocabulary map[string]bool) {
	for i := range reports {
		r := &reports[i]
		var unknown []string
		advice := "no sentence has %s: check the name, or write the word where a plan can say it"
		for _, w := range words.Of(r.Text) {
			if !vocabulary[w] {
				unknown = append(unknown, `"`+w+`"`)
				if strings.ContainsAny(w, "0123456789") {
					advice = "no sentence has %s: write numbers in words, as in five-point-five"
				}
			}
		}
		if len(unknown) > 0 {
			r.Faults = append(r.Faults, faults.Fault{Kind: faults.Unused, Severity: faults.Warning, Measured: float64(len(unknown)), Unit: "unknown words",
				Advice: fmt.Sprintf(advice, strings.Join(unknown, ", "))})
		}
	}
}
