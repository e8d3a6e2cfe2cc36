package voice

import (
	"math"
	"time"

	"cuewright/audio"
)

// Voicing is told by the normalised autocorrelation of the band of the first
// formants, which repeats with the pitch (the principle is Rabiner 1977, IEEE
// Transactions on Acoustics, Speech and Signal Processing 25:24; the figures
// were measured for this project).
const (
	voicingLow   = 220.0  // Hz, of the band
	voicingHigh  = 1200.0 // Hz
	voicingRate  = 8000   // samples a second are enough for that band
	voicingFrame = 30 * time.Millisecond
	voicingHop   = 10 * time.Millisecond
	pitchLowest  = 70.0  // Hz
	pitchHighest = 400.0 // Hz
	voicingLeast = 0.65  // correlation
	voicingUnder = 22.0  // dB that a voiced frame's band may lie below the loudest
)

// voicing tells for every voicingHop of y whether the voicingFrame that starts
// there is voiced.
func voicing(y []float64, rate audio.Rate) []bool {
	band := append([]float64(nil), y...)
	audio.HighPass(rate, voicingLow).Filter(band)
	audio.LowPass(rate, voicingHigh).Filter(band)
	// The low-pass leaves little to fold back.
	every := max(1, int(rate)/voicingRate)
	low := band[:0]
	for i := 0; i < len(band); i += every {
		low = append(low, band[i])
	}
	perSecond := float64(rate) / float64(every)
	samples := func(t time.Duration) int { return int(t.Seconds() * perSecond) }

	sum := make([]float64, len(low)+1) // of squares before a sample
	for i, v := range low {
		sum[i+1] = sum[i] + v*v
	}
	size := samples(voicingFrame)
	count := 0
	for samples(time.Duration(count)*voicingHop)+size <= len(low) {
		count++
	}
	var top float64
	for i := range count {
		at := samples(time.Duration(i) * voicingHop)
		top = max(top, sum[at+size]-sum[at])
	}
	out := make([]bool, count)
	least := top * math.Pow(10, -voicingUnder/10)
	for i := range out {
		at := samples(time.Duration(i) * voicingHop)
		if e := sum[at+size] - sum[at]; e > 0 && e > least {
			out[i] = repeats(low[at:at+size], sum[at:at+size+1], perSecond)
		}
	}
	return out
}

// repeats reports whether x resembles itself moved by a pitch period. Sum holds
// the running sum of its squares.
func repeats(x, sum []float64, perSecond float64) bool {
	n := len(x)
	most := int(perSecond / pitchLowest)
	for lag := int(perSecond / pitchHighest); lag <= most; lag += 4 {
		// Four lags at a time: each sum waits for its own last addition only. Those
		// over the end of x hold fewer products, as they should.
		var dot [4]float64
		y := x[lag:]
		for i := range len(y) - 3 {
			v, w := x[i], (*[4]float64)(y[i:])
			dot[0] += v * w[0]
			dot[1] += v * w[1]
			dot[2] += v * w[2]
			dot[3] += v * w[3]
		}
		for i := len(y) - 3; i < len(y); i++ {
			for k, v := range y[i:] {
				dot[k] += x[i] * v
			}
		}
		for k, d := range dot {
			if lag+k > most || d <= 0 {
				continue
			}
			energy := (sum[n-lag-k] - sum[0]) * (sum[n] - sum[lag+k])
			if d*d > voicingLeast*voicingLeast*energy {
				return true
			}
		}
	}
	return false
}

// voicedAt reports whether a frame with its middle within a hop of t is voiced.
func voicedAt(voice []bool, t time.Duration) bool {
	for i, v := range voice {
		if at := time.Duration(i)*voicingHop + voicingFrame/2; v && (at-t).Abs() <= voicingHop {
			return true
		}
	}
	return false
}

// voicedIn counts the voiced frames whose middles lie in a segment.
func voicedIn(voice []bool, s segment) int {
	// Both kinds of frame are taken at their middles.
	from := time.Duration(s.first)*hopTime + (frameTime-hopTime)/2
	to := time.Duration(s.last+1)*hopTime + (frameTime-hopTime)/2
	n := 0
	for i, v := range voice {
		if at := time.Duration(i)*voicingHop + voicingFrame/2; v && at >= from && at < to {
			n++
		}
	}
	return n
}
