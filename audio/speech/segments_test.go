package speech

import (
	"math"
	"testing"
	"time"
)

// row makes segments out of lengths and gaps in milliseconds: gap, length, gap,
// length... A length below zero is unvoiced.
func row(ms ...float64) []segment {
	var out []segment
	at := 0.0
	for i := 0; i+1 < len(ms); i += 2 {
		at += ms[i]
		n := math.Abs(ms[i+1])
		s := segment{first: int(at / 2.5), last: int((at+n)/2.5) - 1, peak: -10}
		if ms[i+1] > 0 {
			s.voiced = int(n / 10)
		}
		out = append(out, s)
		at += n
	}
	return out
}

// The rules that say what belongs to the speech, one by one.
func TestSpeechAmongSegments(t *testing.T) {
	weak := row(0, -50, 50, 200)
	weak[0].peak = -40
	for name, c := range map[string]struct {
		segments    []segment
		first, last int
	}{
		"one word":                        {row(0, 200), 0, 0},
		"two words in one phrase":         {row(0, 200, 500, 200), 0, 1},
		"two phrases, the longer":         {row(0, 200, 700, 300), 1, 1},
		"two phrases, the first":          {row(0, 300, 700, 300), 0, 0},
		"hardly voiced":                   {row(0, 20, 300, 300), 1, 1},
		"a breath between words":          {row(0, 200, 150, -100, 150, 200), 0, 2},
		"an s before":                     {row(0, -100, 60, 200), 0, 1},
		"s, closure, t before":            {row(0, -100, 60, -30, 30, 200), 0, 2},
		"a breath before":                 {row(0, -100, 120, 200), 1, 1},
		"a click before":                  {row(0, -10, 20, 200), 1, 1},
		"a short burst right before":      {row(0, -20, 30, 200), 0, 1},
		"a click further off":             {row(0, -20, 50, 200), 1, 1},
		"something weak before":           {weak, 1, 1},
		"an s after":                      {row(0, 200, 80, -150), 0, 1},
		"the release of a stop after":     {row(0, 200, 150, -80), 0, 1},
		"a breath after":                  {row(0, 200, 150, -150), 0, 0},
		"a button after":                  {row(0, 200, 200, -20), 0, 0},
		"s and t after":                   {row(0, 200, 30, -100, 60, -40), 0, 2},
		"a far word beside, no neighbour": {row(0, 200, 700, 300, 40, -60), 1, 2},
	} {
		first, last, found := speechAmong(c.segments)
		if !found {
			t.Errorf("%s: nothing", name)
			continue
		}
		if first, last = withNeighbours(c.segments, first, last, 0); first != c.first || last != c.last {
			t.Errorf("%s: %d to %d, want %d to %d", name, first, last, c.first, c.last)
		}
	}
	if _, _, found := speechAmong(row(0, -300)); found {
		t.Error("speech without voicing")
	}
}

func TestSegmentsOf(t *testing.T) {
	// On over -20, off under -30: runs need a peak, short gaps close.
	db := []float64{-60, -25, -10, -25, -60, -60, -15, -60, -25, -25, -60}
	for range 9 {
		db = append(db, -60)
	}
	db = append(db, -15)
	got := segmentsOf(db, -20, -30)
	if len(got) != 2 || got[0].first != 1 || got[0].last != 6 || got[0].peak != -10 || got[1].first != 20 || got[1].last != 20 {
		t.Errorf("%+v", got)
	}
}

func TestNoiseFloor(t *testing.T) {
	long, short := frames(500*time.Millisecond), frames(100*time.Millisecond)
	level := func(n int, from, to float64) []float64 {
		var out []float64
		for i := range n {
			out = append(out, from+(to-from)*float64(i)/float64(n))
		}
		return out
	}
	speech := level(long, -3, 0)
	for name, c := range map[string]struct {
		quiet []float64
		want  float64
	}{
		"digital silence":       {level(long, -200, -200), -60},
		"quiet room":            {level(short, -55, -55), -55},
		"noisy room":            {level(long, -35, -35), -35},
		"a closure, no silence": {level(short, -35, -35), -60},
		"only a decay":          {level(short, -40, -58), -60},
		"too loud for noise":    {level(long, -10, -10), -60},
	} {
		if got := noiseFloor(append(c.quiet, speech...), 0); math.Abs(got-c.want) > 0.01 {
			t.Errorf("%s: %.2f, want %v", name, got, c.want)
		}
	}
}
