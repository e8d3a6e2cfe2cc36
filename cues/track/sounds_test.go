package track

import (
	"math"
	"testing"
	"time"

	"cuewright/audio"
)

func peak(x []float32) (most float64) {
	for _, v := range x {
		most = max(most, math.Abs(float64(v)))
	}
	return most
}

// power is how strong hz is in x: the magnitude of one Fourier term.
func power(s audio.Sound, hz float64) float64 {
	var re, im float64
	for i, v := range s.Samples {
		sin, cos := math.Sincos(angle(s.Rate, hz) * float64(i))
		re, im = re+float64(v)*cos, im+float64(v)*sin
	}
	return math.Hypot(re, im)
}

func TestBeep(t *testing.T) {
	for _, rate := range []audio.Rate{8000, 22050, 44100, 48000, 96000} {
		for _, length := range []time.Duration{100 * time.Millisecond, 500 * time.Millisecond, 1500 * time.Microsecond, time.Millisecond / 3} {
			s := beep(rate, 1000, length)
			x := s.Samples
			if int64(len(x)) != rate.Frame(length) || s.Rate != rate {
				t.Errorf("%v at %d: %d frames at %d", length, rate, len(x), s.Rate)
			}
			if x[0] == 0 || x[len(x)-1] == 0 {
				t.Errorf("%v at %d: an end is silent", length, rate)
			}
			if got := peak(x); got != 1 {
				t.Errorf("%v at %d: peak %g, want 1", length, rate, got)
			}
		}
		s := beep(rate, 1000, 100*time.Millisecond)
		// The ramps: no louder than half at half of the ramp, full after it.
		ramp := rate.Frame(time.Millisecond)
		if got := peak(s.Samples[:ramp/2]); got > 0.55 {
			t.Errorf("at %d the ramp reaches %g in its first half", rate, got)
		}
		if first := math.Abs(float64(s.Samples[0])); first > 0.1 {
			t.Errorf("at %d the first sample is %g: a click", rate, first)
		}
		if got := peak(s.Samples[ramp : ramp+rate.Frame(2*time.Millisecond)]); got < 0.9 {
			t.Errorf("at %d the beep only reaches %g after its ramp", rate, got)
		}
		if tone, other := power(s, 1000), power(s, 1500); tone < 50*other {
			t.Errorf("at %d the beep is not a 1 kHz sine: %g at 1000 Hz, %g at 1500 Hz", rate, tone, other)
		}
	}
	for _, length := range []time.Duration{0, -time.Second} {
		if got := beep(48000, 1000, length); len(got.Samples) != 0 {
			t.Errorf("a beep of %v has %d frames", length, len(got.Samples))
		}
	}
}

func TestTick(t *testing.T) {
	for _, rate := range []audio.Rate{22050, 44100, 48000} {
		first, second := tick(rate, false), tick(rate, true)
		for _, s := range []audio.Sound{first, second} {
			if int64(len(s.Samples)) != rate.Frame(50*time.Millisecond) || s.Rate != rate {
				t.Errorf("at %d: %d frames at %d", rate, len(s.Samples), s.Rate)
			}
			if s.Samples[0] == 0 {
				t.Errorf("at %d the tick starts late", rate)
			}
			// e^(-20/12) is 0.19: what is left 20 ms later.
			early := peak(s.Samples[:rate.Frame(6*time.Millisecond)])
			late := peak(s.Samples[rate.Frame(22*time.Millisecond):rate.Frame(28*time.Millisecond)])
			if late < 0.1*early || late > 0.3*early {
				t.Errorf("at %d the tick falls from %g to %g in 20 ms", rate, early, late)
			}
			if last := math.Abs(float64(s.Samples[len(s.Samples)-1])); last > 1e-3 {
				t.Errorf("at %d the tick ends at %g", rate, last)
			}
		}
		near(t, "peak of the first foot", peak(first.Samples), 1, 0)
		near(t, "peak of the second foot in dB", 20*math.Log10(peak(second.Samples)), -2, 1e-5)

		near(t, "partials of the first foot", power(first, 2900)/power(first, 1200), 0.6, 0.06)
		near(t, "partials of the second foot", power(second, 2440)/power(second, 1010), 0.6, 0.06)
		if power(first, 1200) < 2*power(first, 1800) {
			t.Error("the first foot has no partial at 1200 Hz")
		}
	}
}

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s: got %g, want %g within %g", what, got, want, within)
	}
}
