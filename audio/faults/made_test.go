package faults

import (
	"math"
	"math/rand/v2"
	"slices"

	"cuewright/audio"
	"cuewright/audio/speech/speechtest"
)

// db turns decibels into a factor.
func db(v float64) float64 { return math.Pow(10, v/20) }

// within draws from low to high.
func within(rng *rand.Rand, low, high float64) float64 { return low + (high-low)*rng.Float64() }

// record makes a recording of one of the words in one of the voices with one
// fault, from mild to strong, or a good one. Good ones, and whatever else is true
// of those with a fault:
//
//   - rates of 16, 22.05, 44.1 and 48 kHz, 16 bits;
//   - 0.25 to 0.7 s of silence before and 0.4 to 0.9 s after the word;
//   - every other one in a mild room (T60 0.2 to 0.4 s, 8 to 15 dB under the word);
//   - white or dark noise 30 to 60 dB under the word (power over the whole word, of
//     the noise from 80 Hz on);
//   - every fourth one with a breath before or after the word, 20 to 32 dB under it;
//   - words at -26 dBFS, -12 to +6 dB;
//   - every third one dual mono, with up to 1 dB between the sides.
//
// The faults are told where they are made.
func record(rng *rand.Rand, fault Kind) (clip audio.Clip, word string) {
	rate := []audio.Rate{16000, 16000, 16000, 22050, 22050, 44100, 48000}[rng.IntN(7)]
	fs := float64(rate)
	word = names[rng.IntN(len(names))]
	dry := throats[rng.IntN(len(throats))].say(rate, rng, shapes[word])
	scale(dry, 1)

	from := int(within(rng, 0.25, 0.7) * fs)
	to := from + len(dry)
	x := make([]float64, to+int(within(rng, 0.4, 0.9)*fs))
	add(x, dry, from)
	if fault == Echo { // a bathroom, a stairwell, a gym
		x = append(x, make([]float64, int(0.6*fs))...)
		x = reverb(x, fs, within(rng, 1, 2.5), within(rng, -4, 4), rng)
	} else if rng.IntN(2) == 0 {
		x = reverb(x, fs, within(rng, 0.2, 0.4), within(rng, 8, 15), rng)
	}
	if rng.IntN(4) == 0 {
		addBreath(x, from, to, fs, rng)
	}
	snr := within(rng, 30, 60)
	if fault == Noisy {
		snr = within(rng, 8, 26)
	}
	add(x, noise(len(x), db(-snr), rng.IntN(2) == 0, fs, rng), 0)
	switch fault {
	case Hum:
		addHum(x, fs, rng)
	case Rumble:
		addRumble(x, from, to, fs, rng)
	case CutStart: // 20 to 120 ms behind where the word sounds, in a sound
		x = x[edge(x, from+int(within(rng, 0.02, 0.12)*fs), 1, fs):]
	case CutEnd:
		x = x[:edge(x, to-int(within(rng, 0.06, 0.16)*fs), -1, fs)]
	case NarrowBand:
		x, rate = telephone(x, rate, rng)
	}

	times(x, db(-26+within(rng, -12, 6)))
	low, high := bounds(x)
	peak := max(-low, high)
	switch {
	case fault == Clipped: // 1 to 14 dB of the tops, at full scale or under it
		wall := peak * db(-within(rng, 1, 14))
		for i, v := range x {
			x[i] = max(-wall, min(wall, v))
		}
		times(x, db(-within(rng, 0, 10)*float64(rng.IntN(2)))/wall)
	case fault == Quiet: // words of some -41 to -65 LUFS
		scale(x[:], db(within(rng, -71, -48)))
	case peak > 0.9: // whoever records well minds the meter
		times(x, 0.9/peak)
	}
	if fault == DC {
		offset := within(rng, 0.012, 0.1)
		if rng.IntN(2) == 0 {
			offset = -offset
		}
		for i := range x {
			x[i] = offset + 0.9*x[i]
		}
	}
	return stereo(x, rate, fault, rng), word
}

func addBreath(x []float64, from, to int, fs float64, rng *rand.Rand) {
	b := noise(int(within(rng, 0.1, 0.3)*fs), 1, false, fs, rng)
	speechtest.Resonate(b, fs, 1200, 900)
	scale(b, db(-within(rng, 20, 32)))
	for i := range b {
		b[i] *= math.Sin(math.Pi * float64(i) / float64(len(b)))
	}
	if gap := int(within(rng, 0.13, 0.35) * fs); rng.IntN(2) == 0 {
		add(x, b, from-gap-len(b))
	} else {
		add(x, b, to+gap)
	}
}

// addHum adds mains of 50 or 60 Hz with up to three multiples, up to 0.3 Hz off,
// in all 15 to 42 dB under the word.
func addHum(x []float64, fs float64, rng *rand.Rand) {
	hz := []float64{50, 60}[rng.IntN(2)] + within(rng, -0.1, 0.1)
	h := make([]float64, len(x))
	for k := range 1 + rng.IntN(4) {
		amplitude, phase := within(rng, 0.3, 1), within(rng, 0, 2*math.Pi)
		for i := range h {
			h[i] += amplitude * math.Sin(2*math.Pi*hz*float64(k+1)*float64(i)/fs+phase)
		}
	}
	scale(h, db(-within(rng, 15, 42)))
	add(x, h, 0)
}

// addRumble adds a pop of 15 to 40 Hz within the word, from 3 dB under it to 10
// over, or a steady rumble under 40 Hz, 20 to 0 dB under it.
func addRumble(x []float64, from, to int, fs float64, rng *rand.Rand) {
	if rng.IntN(2) == 0 {
		r := noise(len(x), 1, false, fs, rng)
		speechtest.Resonate(r, fs, 25, 15)
		scale(r, db(-within(rng, 0, 20)))
		add(x, r, 0)
		return
	}
	pop := make([]float64, int(within(rng, 0.1, 0.2)*fs))
	hz := within(rng, 15, 40)
	for i := range pop {
		t := float64(i) / float64(len(pop))
		pop[i] = math.Sin(2*math.Pi*hz*float64(i)/fs) * math.Sin(math.Pi*t)
	}
	scale(pop, db(within(rng, -3, 10)))
	add(x, pop, from+rng.IntN(max(1, to-from-len(pop))))
}

// edge goes from a sample on, step by step of 5 ms, to the next place where the
// word is within 20 dB of its strongest.
func edge(x []float64, at, step int, fs float64) int {
	n := int(0.005 * fs)
	top := db(meanOfLoudest(levels(x, audio.Rate(fs), frameTime, hopTime)))
	for rms(x[at-n:at+n]) < top*db(-20) {
		at += step * n
	}
	return at
}

// telephone takes what lies over 4 kHz away, and leaves the recording at 8 kHz
// or brings it back, with the noise of a converter 50 to 80 dB under the word.
func telephone(x []float64, rate audio.Rate, rng *rand.Rand) ([]float64, audio.Rate) {
	s := audio.Sound{Rate: rate}
	for _, v := range x {
		s.Samples = append(s.Samples, float32(v))
	}
	s = audio.Resample(s, 8000)
	if rng.IntN(3) > 0 {
		s = audio.Resample(s, rate)
	}
	out := make([]float64, len(s.Samples))
	for i, v := range s.Samples {
		out[i] = float64(v)
	}
	add(out, noise(len(out), db(-within(rng, 50, 80)), false, float64(s.Rate), rng), 0)
	return out, s.Rate
}

// stereo makes the channels and keeps 16 bits of them.
func stereo(x []float64, rate audio.Rate, fault Kind, rng *rand.Rand) audio.Clip {
	channels := [][]float64{x}
	other := func(gain, noiseDB float64) []float64 {
		y := slices.Clone(x)
		times(y, gain)
		add(y, noise(len(y), rms(x)*db(noiseDB), false, float64(rate), rng), 0)
		return y
	}
	switch {
	case fault == deadSide: // 22 dB under the other, or silent but for its own noise
		gain := 0.0
		if rng.IntN(2) == 0 {
			gain = db(-within(rng, 22, 40))
		}
		channels = append(channels, other(gain, -within(rng, 40, 80)))
	case fault == antiPhase: // with up to 3 dB between the sides, and noise in one
		channels = append(channels, other(-db(within(rng, -3, 3)), -within(rng, 10, 60)))
	case rng.IntN(3) == 0:
		channels = append(channels, other(db(-within(rng, 0, 1)), -80))
	}
	if rng.IntN(2) == 0 {
		slices.Reverse(channels)
	}
	clip := audio.Clip{Rate: rate, Channels: len(channels)}
	for i := range x {
		for _, c := range channels {
			clip.Samples = append(clip.Samples, float32(max(-32768, min(32767, math.Round(c[i]*32768)))/32768))
		}
	}
	return clip
}
