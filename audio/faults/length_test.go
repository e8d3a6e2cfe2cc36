package faults

import (
	"math/rand/v2"
	"testing"

	"cuewright/audio"
)

// kinds are those of the faults of a report.
func kinds(r Report) map[Kind]Severity {
	out := map[Kind]Severity{}
	for _, f := range r.Faults {
		out[f.Kind] = f.Severity
	}
	return out
}

// TestLength: silence holds no speech; a good word is of no unusual length until silence is put around it, and a
// recording of more than a minute is no phrase, whatever it holds.
func TestLength(t *testing.T) {
	word, text := record(rand.New(rand.NewPCG(3, 3)), "")
	around := func(seconds int) audio.Clip {
		c := word
		quiet := make([]float32, seconds*int(c.Rate)*c.Channels)
		rng := rand.New(rand.NewPCG(4, 4))
		for i := range quiet {
			quiet[i] = float32(1e-5 * rng.NormFloat64())
		}
		c.Samples = append(quiet[:len(quiet):len(quiet)], c.Samples...)
		return c
	}
	silence := word
	silence.Samples = make([]float32, len(word.Samples))
	for _, c := range []struct {
		name string
		clip audio.Clip
		want map[Kind]Severity
	}{
		{"silence", silence, map[Kind]Severity{NoSpeech: Error}},
		{"the word", word, map[Kind]Severity{}},
		{"behind four seconds of silence", around(4), map[Kind]Severity{Long: Warning}},
		{"behind a minute of it", around(61), map[Kind]Severity{Long: Error}},
	} {
		got := kinds(Judge(c.clip, text))
		delete(got, Echo) // a suspicion only
		if len(got) != len(c.want) {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
		for k, severity := range c.want {
			if got[k] != severity {
				t.Errorf("%s: %s is %q, want %q", c.name, k, got[k], severity)
			}
		}
	}
}
