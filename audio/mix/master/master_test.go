package master

import (
	"cuewright/audio/mix"
	"cuewright/audio/mix/pcm"
	"math"
	"testing"
)

// TestGain: a sine of 997 Hz and amplitude 1 on one channel is at -3.01 LUFS
// (BS.1770-5, Annex 1: a 0 dBFS sine reads -3.01 LKFS), from two speakers at 0.
func TestGain(t *testing.T) {
	m := mix.New(48000*20, []mix.Event{{At: 48000, Samples: sine(997, 0.1, 5), Gain: 1}, {At: 48000 * 10, Samples: sine(997, 0.5, 3), Gain: 1}})
	spoken := []mix.Span{{From: 48000, To: 48000 * 6}}
	gain := func(a *Master) float64 { return 20 * math.Log10(float64(a.limited.gain)) }
	// -20 LUFS as it is; the loud tone is no speech and does not count.
	l := New(m, 48000, spoken, 0, Target{Loudness: -30, Peak: -1})
	if math.Abs(gain(l)+10) > 0.05 || math.Abs(l.Loudness+30) > 0.05 || l.Held || l.Limited != 0 {
		t.Errorf("%+v, want a gain of -10 dB to -30 LUFS", l)
	}
	if math.Abs(l.Peak-(-6.02-10)) > 0.1 {
		t.Errorf("the peak is %.2f dBTP", l.Peak)
	}
	// The loud tone has room for 5 dB; what is more the limiter takes from it, and
	// the voice gets its loudness all the same.
	if l := New(m, 48000, spoken, 0, Target{Loudness: -6, Peak: -1}); l.Held || l.Peak > -1 || l.Peak < -1.2 ||
		math.Abs(l.Loudness+6) > 0.05 || math.Abs(l.Limited-9) > 0.2 {
		t.Errorf("%+v, want -6 LUFS with 9 dB of limiting", l)
	}
	// Where the speech itself would lose more than six the ceiling wins: its sine is
	// limited to -1 dBTP.
	if l := New(m, 48000, spoken, 0, Target{Loudness: 7, Peak: -1}); !l.Held || l.Peak > -1 || l.Peak < -1.2 || math.Abs(l.Loudness+1) > 0.15 {
		t.Errorf("%+v, want to be held at about -1 LUFS", l)
	}
	if l := New(m, 48000, nil, -17, Target{Loudness: -20, Peak: -1}); math.Abs(gain(l)+3) > 0.001 || !math.IsInf(l.Loudness, -1) || l.Held {
		t.Errorf("without speech: %+v", l)
	}
	// Nor may speech that is too short to be measured move it, however loud.
	short := mix.New(48000*5, []mix.Event{{At: 1000, Samples: pulses(1)[:14_000], Gain: 1}})
	if l := New(short, 48000, []mix.Span{{From: 1000, To: 15_000}}, -20, Target{Loudness: -16, Peak: -1}); math.Abs(gain(l)-4) > 0.001 {
		t.Errorf("with speech of 0.3 s the gain is %.3f dB, want 4", gain(l))
	}
	if l := New(mix.New(48000, nil), 48000, nil, -17, Target{Loudness: -20, Peak: -1}); !math.IsInf(l.Peak, -1) || l.Limited != 0 || l.Held {
		t.Errorf("without a sound: %+v", l)
	}
}

// TestFinished measures what was written: the speech has its loudness and the
// ceiling holds, with loud clicks and without, and the figures told are true.
func TestFinished(t *testing.T) {
	voice := pulses(2)
	click := sine(2000, 1, 0.02)
	spoken := []mix.Span{{From: 24_000, To: 24_000 + int64(len(voice))}, {From: 150_000, To: 150_000 + int64(len(voice))}}
	for name, clicks := range map[string]float32{"no clicks": 0, "clicks": 0.3, "loud clicks": 0.9, "clicks over all": 2.5} {
		events := []mix.Event{{At: spoken[0].From, Samples: voice, Gain: 0.3}, {At: spoken[1].From, Samples: voice, Gain: 0.3}}
		first := spoken[0].From // what sounds first
		for at := int64(125_000); at < 255_000 && clicks > 0; at += 17_000 {
			// Under the speech they are ducked by 12 dB, as in a track.
			gain := clicks
			if at > spoken[1].From-1000 && at < spoken[1].To {
				gain /= 4
			}
			events = append(events, mix.Event{At: at, Samples: click, Gain: gain})
		}
		m := mix.New(260_000, events)
		for _, target := range []float64{-16, -6} {
			level := New(m, 48000, spoken, 0, Target{Loudness: target, Peak: -1})
			for _, bits := range []int{16, 24} {
				got := decoded(bytesOf(t, level, pcm.Form{Bits: bits, Channels: 1}), bits)
				if len(got) != 260_000 {
					t.Fatalf("%s: %d frames", name, len(got))
				}
				full := float64(int(1) << (bits - 1))
				all := make([]float32, len(got))
				for i := range got {
					got[i] /= full
					all[i] = float32(got[i])
				}
				for i := range first {
					if got[i] != 0 {
						t.Fatalf("%s: frame %d before the first sound is %v", name, i, got[i])
					}
				}
				heard := lufs(append(append([]float64(nil), got[spoken[0].From:spoken[0].To]...), got[spoken[1].From:spoken[1].To]...))
				if math.Abs(heard-level.Loudness) > 0.01 {
					t.Errorf("%s at %v in %d bits: %.3f LUFS are heard, %.3f were told", name, target, bits, heard, level.Loudness)
				}
				switch {
				case !level.Held && math.Abs(heard-target) > 0.05:
					t.Errorf("%s: %.3f LUFS, want %v", name, heard, target)
				case level.Held && (heard > target || name == "no clicks" && math.Abs(level.Limited-6) > 0.1):
					t.Errorf("%s: held at %.2f LUFS of %v with %.1f dB of limiting", name, heard, target, level.Limited)
				case level.Held != (target == -6):
					t.Errorf("%s at %v: %+v", name, target, level)
				}
				if bits == 24 {
					peak := decibels(truePeak(all))
					t.Logf("%s: %.1f LUFS, peak %.2f dBTP at 8x and %.2f as told, limited by %.1f dB", name, heard, peak, level.Peak, level.Limited)
					if peak > -1+0.55 || math.Abs(peak-level.Peak) > 0.55 || level.Peak > -1 {
						t.Errorf("%s: the peak is %.2f dBTP, %.2f was told", name, peak, level.Peak)
					}
				}
			}
		}
	}
}
