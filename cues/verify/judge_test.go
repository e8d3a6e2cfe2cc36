package verify_test

import (
	"strings"
	"testing"

	"cuewright/audio/listen"
	"cuewright/cues/verify"
	"cuewright/cues/verify/expect"
	"cuewright/cues/verify/measure"
	"cuewright/cues/verify/recording"
	"cuewright/cues/verify/report"
)

// inPlace is a class of one minute with six tones, and what is heard of it where all is
// as it should be.
func inPlace() (*expect.Expected, *measure.Measurements) {
	const second = 48000
	want := &expect.Expected{Rate: 48000, Plan: expect.Form{Rate: 48000, Bits: 16, Channels: 1}, Title: "Low Tide",
		Frames: 60 * second, Ceiling: -1, Target: -16, Quiet: 45e9}
	heard := &measure.Measurements{
		Recording: &recording.Recording{Rate: 48000, Bits: 16, Channels: 1, Title: "Low Tide"},
		Frames:    want.Frames, Levels: measure.Levels{Loudness: -16, Peak: -3},
	}
	for i := range int64(6) {
		s := expect.Span{From: (i + 1) * 8 * second, To: (i+1)*8*second + second/10}
		want.Tones = append(want.Tones, expect.Sound{Span: s, Name: "a beep", Shape: listen.ShortTone, Alone: true})
		heard.Tones = append(heard.Tones, measure.Onset{Fit: listen.Fit{Gain: 1, Explained: 1}, Power: 1, Energy: 1, Near: 8})
		heard.Alignment.Heard = append(heard.Alignment.Heard, listen.Tone{From: s.From, To: s.To})
		want.Silent = append(want.Silent, expect.Span{From: s.To, To: s.To + 7*second})
	}
	heard.Alignment.Matched = 6
	heard.Silence.Spans, heard.Silence.Frames = want.Silent, 42*second
	return want, heard
}

// burst is a stretch of unwanted sound in silence number i.
func burst(heard *measure.Measurements, i int, frames int64, level float64) measure.Burst {
	from := heard.Silence.Spans[i].From
	return measure.Burst{Span: expect.Span{From: from, To: from + frames}, Max: level}
}

// TestJudge has each thing that may be found wrong with a track, without any sound: what
// is changed of a track that holds, which promise is broken by it, and what it looks like.
func TestJudge(t *testing.T) {
	type change func(want *expect.Expected, heard *measure.Measurements)
	each := func(do func(o *measure.Onset)) change {
		return func(_ *expect.Expected, heard *measure.Measurements) {
			for i := range heard.Tones {
				do(&heard.Tones[i])
			}
		}
	}
	tests := []struct {
		name   string
		change change
		broken string // the promises, parted by spaces
		like   string
	}{
		{"as it should be", func(*expect.Expected, *measure.Measurements) {}, "", ""},
		{"half a frame late", each(func(o *measure.Onset) { o.Off = 0.5 }), "", ""},
		{"more than half a frame late", each(func(o *measure.Onset) { o.Off = 0.51 }), "tones", "a shifted copy: all tones are late by"},
		{"early", each(func(o *measure.Onset) { o.Off = -200 }), "tones", "a shifted copy: all tones are early by"},
		{"an encoder's delay", each(func(o *measure.Onset) { o.Off = 1105 }), "tones", "a lossy copy: all late by"},
		{"a front cut off", func(w *expect.Expected, h *measure.Measurements) {
			each(func(o *measure.Onset) { o.Off = -480 })(w, h)
			h.Frames -= 480
		}, "length tones", "a trimmed copy: 10.0 ms are missing at its front"},
		{"an end cut off", func(_ *expect.Expected, h *measure.Measurements) { h.Frames -= 4800 }, "length", "a copy cut off at its end: 100.0 ms are missing there"},
		{"a tone gone", func(_ *expect.Expected, h *measure.Measurements) { h.Tones[2].Power = 0.01 }, "tones", ""},
		{"another sound in a tone's place", func(_ *expect.Expected, h *measure.Measurements) { h.Tones[2].Explained = 0.5 }, "tones", ""},
		{"no tone at all", func(_ *expect.Expected, h *measure.Measurements) {
			each(func(o *measure.Onset) { *o = measure.Onset{} })(nil, h)
			h.Alignment = measure.Alignment{}
		}, "tones", "no class at all"},
		{"tones elsewhere", func(_ *expect.Expected, h *measure.Measurements) { h.Tones[1].Off, h.Alignment.Matched = 4, 2 }, "tones", "the track of another plan: of 6 tones heard, 2 are where"},
		{"another title", func(_ *expect.Expected, h *measure.Measurements) {
			h.Tones[2].Power, h.Recording.Title = 0.01, "High Tide"
		}, "tones", `the track of another plan; its title is "High Tide"`},
		{"a piece missing", func(_ *expect.Expected, h *measure.Measurements) {
			h.Tones[4].Off, h.Tones[5].Off = -480, -480
			h.Alignment.Splice = measure.Splice{After: 5 * 8 * 48000, Before: 5*8*48000 + 48000, By: -480}
		}, "tones", "a copy with about 10 ms missing between"},
		{"another rate", func(w *expect.Expected, h *measure.Measurements) { w.Plan.Rate = 44100 }, "form", "a resampled copy: 48000 frames a second, the plan's track has 44100"},
		{"a wrong label", func(_ *expect.Expected, h *measure.Measurements) {
			h.Frames = h.Frames * 44100 / 48000
			h.Alignment.Heard = nil
		}, "length", "samples of 44100 frames a second labelled as 48000: it plays 8.8 % too fast"},
		{"other bits", func(w *expect.Expected, _ *measure.Measurements) { w.Plan.Bits = 24 }, "form", ""},
		{"two channels that differ", func(_ *expect.Expected, h *measure.Measurements) { h.Levels.Apart = 0.1 }, "form", ""},
		{"a tenth of a LU loud", func(_ *expect.Expected, h *measure.Measurements) { h.Levels.Loudness = -15.9 }, "", ""},
		{"turned up", func(_ *expect.Expected, h *measure.Measurements) { h.Levels.Loudness = -15.8 }, "loudness", "a copy turned up by 0.2 dB"},
		{"turned down", func(_ *expect.Expected, h *measure.Measurements) { h.Levels.Loudness = -18 }, "loudness", "a copy turned down by 2.0 dB"},
		{"a peak at the ceiling", func(_ *expect.Expected, h *measure.Measurements) { h.Levels.Peak = -1 }, "", ""},
		{"a peak over it", func(_ *expect.Expected, h *measure.Measurements) { h.Levels.Peak = -0.99 }, "true peak", ""},
		{"a flat top", func(_ *expect.Expected, h *measure.Measurements) { h.Levels.Flat = []expect.Span{{From: 9, To: 16}} }, "clipping", ""},
		{"a burst", func(_ *expect.Expected, h *measure.Measurements) {
			h.Silence.Bursts = []measure.Burst{burst(h, 1, 480, 0.1)}
		}, "silence", ""},
		{"weak sound beside sounds", func(_ *expect.Expected, h *measure.Measurements) {
			for i := range 6 {
				h.Silence.Bursts = append(h.Silence.Bursts, burst(h, i, 48, 1e-4))
			}
		}, "silence", "a resampled copy: sounds ring into the silence beside them"},
		{"smeared", func(_ *expect.Expected, h *measure.Measurements) {
			for i := range 6 {
				h.Silence.Bursts = append(h.Silence.Bursts, burst(h, i, 960, 1e-4))
			}
		}, "silence", "a lossy copy: weak sound is smeared into the silence"},
		{"hiss", func(_ *expect.Expected, h *measure.Measurements) {
			for i := range 6 {
				h.Silence.Bursts = append(h.Silence.Bursts, burst(h, i, 6*48000, 1e-4))
			}
		}, "silence", "a copy with dither or hiss laid under everything"},
		{"hiss, and turned down", func(_ *expect.Expected, h *measure.Measurements) {
			for i := range 6 {
				h.Silence.Bursts = append(h.Silence.Bursts, burst(h, i, 6*48000, 1e-4))
			}
			h.Levels.Loudness = -20
		}, "silence loudness", "a copy turned down by 4.0 dB, with dither or hiss"},
		{"markers lost", func(w *expect.Expected, h *measure.Measurements) {
			w.Marks, h.Recording.Markers = []expect.Mark{{Frame: 0, Name: "opening"}}, h.Recording.Markers[:0:0]
			h.Recording.Unread = "not read"
		}, "", ""}, // what cannot be read is not checked
	}
	for _, test := range tests {
		want, heard := inPlace()
		test.change(want, heard)
		// A high crest would let the ceiling explain softer calls.
		r := verify.Judge(want, heard, 0)
		var broken []string
		for _, c := range r.Checks {
			if !c.Right {
				broken = append(broken, string(c.Name))
			}
		}
		if got := strings.Join(broken, " "); got != test.broken || !strings.HasPrefix(r.LooksLike, test.like) || test.like == "" && r.LooksLike != "" {
			t.Errorf("%s: broken %q, want %q; it looks like %q, want %q\n%s", test.name, got, test.broken, r.LooksLike, test.like, text(r))
		}
	}
}

// TestWrites prints a report as the program does.
func TestWrites(t *testing.T) {
	want, heard := inPlace()
	heard.Tones[2].Power = 0
	got := text(verify.Judge(want, heard, 0))
	for _, line := range []string{"1:00, 48000 frames a second, 16 bit, mono\n", "  FAILS  tones           5 of 6 right", "00:24.0  a beep is missing\n",
		"One promise of the plan is broken; every tone and click that can be measured is in its place.\n"} {
		if !strings.Contains(got, line) {
			t.Errorf("no %q in\n%s", line, got)
		}
	}
	if report.Millis(0.0625) != "0.062 ms" || report.Millis(12.34) != "12.3 ms" || report.Millis(2500) != "2.50 s" {
		t.Error(report.Millis(0.0625), report.Millis(12.34), report.Millis(2500))
	}
}
