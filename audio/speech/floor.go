package speech

import (
	"math"
	"slices"
	"time"

	"cuewright/audio"
)

const (
	// dynamic is how far below the loudest frames levels are told apart, in dB.
	dynamic = 60.0

	// The floor is the quietest window of floorTime that is even, with
	// floorSpread dB between its 5th and 95th percentile, and floorUnder below
	// the loudest frames.
	floorTime   = 60 * time.Millisecond
	floorSpread = 8.0
	floorUnder  = 16.0

	// It is believed when it is lower than floorSure, or when the file lies
	// within floorNear dB of it for floorLong: one closure of a stop in a file
	// without silence is not the noise. Otherwise it is unknown, and taken to
	// be very low.
	floorSure = -48.0
	// Nor is it believed where frames for floorDeeper lie more than floorDeep below
	// it: noise does not pause, so that was a soft consonant between silences too
	// short to be found. (It cost 17 of 158 demo recordings up to 120 ms of f, th
	// and s while they had 60 ms of silence at each end.)
	floorDeep   = 10.0
	floorDeeper = 20 * time.Millisecond
	floorNear   = 6.0
	floorLong   = 400 * time.Millisecond
)

// levels gives the level in dB of every frame that lies whole in y.
func levels(y []float64, rate audio.Rate) []float64 {
	sum := make([]float64, len(y)+1) // of squares before a sample
	for i, v := range y {
		sum[i+1] = sum[i] + v*v
	}
	size := int(rate.Frame(frameTime))
	var out []float64
	for i := 0; ; i++ {
		at := int(rate.Frame(time.Duration(i) * hopTime))
		if at+size > len(y) {
			return out
		}
		out = append(out, 10*math.Log10((sum[at+size]-sum[at])/float64(size)))
	}
}

// meanOfLoudest is the mean level of the loudest frames; -Inf for silence.
func meanOfLoudest(db []float64) float64 {
	sorted := slices.Sorted(slices.Values(db))
	sorted = sorted[max(0, len(sorted)-loudest):]
	var sum float64
	for _, v := range sorted {
		sum += v
	}
	return sum / float64(len(sorted))
}

// noiseFloor gives the level of the noise between and around the speech.
func noiseFloor(db []float64, top float64) float64 {
	unknown := top - dynamic
	floored := make([]float64, len(db))
	for i, v := range db {
		floored[i] = max(v, unknown)
	}
	size := frames(floorTime)
	floor, sum := math.Inf(1), 0.0
	window := make([]float64, size)
	for i, v := range floored {
		sum += v
		if i < size-1 {
			continue
		}
		// The cheap tests come first: only the quietest so far is sorted.
		if mean := sum / float64(size); mean < top-floorUnder && mean < floor {
			copy(window, floored[i-size+1:])
			slices.Sort(window)
			if rank(window, 0.95)-rank(window, 0.05) < floorSpread {
				floor = mean
			}
		}
		sum -= floored[i-size+1]
	}
	deeper := 0
	for _, v := range db {
		if v < floor-floorDeep {
			deeper++
		}
	}
	switch {
	case deeper >= frames(floorDeeper):
		return unknown
	case floor <= top+floorSure:
		return floor
	}
	near := 0
	for _, v := range floored {
		if math.Abs(v-floor) <= floorNear {
			near++
		}
	}
	if near >= frames(floorLong) {
		return floor
	}
	return unknown
}

// percentile gives the level that the part p of the frames lies below.
func percentile(db []float64, p float64) float64 {
	return rank(slices.Sorted(slices.Values(db)), p)
}

// rank is percentile for sorted values, between neighbours where p falls there.
func rank(sorted []float64, p float64) float64 {
	at := p * float64(len(sorted)-1)
	i := int(at)
	if i+1 >= len(sorted) {
		return sorted[len(sorted)-1]
	}
	return sorted[i] + (at-float64(i))*(sorted[i+1]-sorted[i])
}
