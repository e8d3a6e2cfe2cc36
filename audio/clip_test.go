package audio

import (
	"math"
	"strings"
	"testing"
)

// stereo is a clip of two sides made by functions of the frame.
func stereo(left, right func(i int) float64) Clip {
	c := Clip{Rate: 48000, Channels: 2}
	for i := range 4800 {
		c.Samples = append(c.Samples, float32(left(i)), float32(right(i)))
	}
	return c
}

func wave(gain, cycles, phase float64) func(int) float64 {
	return func(i int) float64 { return gain * math.Sin(2*math.Pi*cycles*float64(i)/4800+phase) }
}

func plus(f func(int) float64, offset float64) func(int) float64 {
	return func(i int) float64 { return f(i) + offset }
}

func TestMono(t *testing.T) {
	silent := func(int) float64 { return 0 }
	voice := wave(0.5, 40, 0)
	half := func(f, g func(int) float64) func(int) float64 {
		return func(i int) float64 { return (f(i) + g(i)) / 2 }
	}
	for name, c := range map[string]struct {
		left, right func(int) float64
		want        func(int) float64
		warning     string
	}{
		"both alike":          {voice, voice, voice, ""},
		"right silent":        {voice, silent, voice, "the right side is dead (silent)"},
		"left silent":         {silent, voice, voice, "the left side is dead (silent)"},
		"right 21 dB under":   {voice, wave(0.5*0.0891, 40, 0), voice, "right side is dead (21 dB under"},
		"right 19 dB under":   {voice, wave(0.5*0.1122, 40, 0), half(voice, wave(0.5*0.1122, 40, 0)), ""},
		"dead but offset":     {voice, func(int) float64 { return 0.4 }, voice, "right side is dead"},
		"anti-phase":          {voice, wave(-0.5, 40, 0), voice, "anti-phase (correlation -1.00)"},
		"anti-phase, quieter": {voice, wave(-0.25, 40, 0), half(voice, wave(0.25, 40, 0)), "anti-phase"},
		"120.5 degrees apart": {voice, wave(0.5, 40, 2.103), half(voice, wave(-0.5, 40, 2.103)), "anti-phase (correlation -0.51)"},
		"119 degrees apart":   {voice, wave(0.5, 40, 2.077), half(voice, wave(0.5, 40, 2.077)), ""},
		"apart, both offset":  {plus(voice, 0.4), plus(wave(-0.5, 40, 0), 0.4), half(voice, voice), "anti-phase"},
		"two voices":          {voice, wave(0.5, 31, 0), half(voice, wave(0.5, 31, 0)), ""},
		"both silent":         {silent, silent, silent, ""},
	} {
		s, warnings := stereo(c.left, c.right).Mono()
		if all := strings.Join(warnings, "; "); (all == "") != (c.warning == "") || !strings.Contains(all, c.warning) {
			t.Errorf("%s: warnings %q, want %q", name, all, c.warning)
		}
		if len(s.Samples) != 4800 || s.Rate != 48000 {
			t.Fatalf("%s: %d frames at %d", name, len(s.Samples), s.Rate)
		}
		for i, v := range s.Samples {
			if math.Abs(float64(v)-c.want(i)) > 1e-6 {
				t.Errorf("%s: sample %d is %g, want %g", name, i, v, c.want(i))
				break
			}
		}
	}
}

func TestMonoOfOtherCounts(t *testing.T) {
	one := Clip{Rate: 8000, Channels: 1, Samples: []float32{1, 2}}
	if s, w := one.Mono(); len(w) > 0 || &s.Samples[0] != &one.Samples[0] {
		t.Error("one channel is not taken as it is")
	}
	three := Clip{Rate: 8000, Channels: 3, Samples: []float32{0.3, 0.6, 0.9, -0.3, 0, 0}}
	s, w := three.Mono()
	if len(w) != 1 || len(s.Samples) != 2 || math.Abs(float64(s.Samples[0])-0.6) > 1e-6 || math.Abs(float64(s.Samples[1])+0.1) > 1e-6 {
		t.Errorf("three channels: %v, %q", s.Samples, w)
	}
	if s, w := (Clip{Rate: 8000, Channels: 2}).Mono(); len(s.Samples) != 0 || len(w) > 0 {
		t.Errorf("an empty clip: %v, %q", s.Samples, w)
	}
}
