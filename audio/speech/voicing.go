package speech

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

// voicing tells for every voicingHop of a sound whether the voicingFrame that starts
// there is voiced. Each is looked at when it is asked for.
type voicing struct {
	low       []float64 // the band, at a lower rate
	sum       []float64 // of the squares before each of its samples
	perSecond float64   // samples of low
	size      int       // samples of a frame
	count     int       // frames
	least     float64   // energy of a voiced frame
}

func newVoicing(y []float64, rate audio.Rate) *voicing {
	band := append([]float64(nil), y...)
	audio.HighPass(rate, voicingLow).Filter(band)
	audio.LowPass(rate, voicingHigh).Filter(band)
	// The low-pass leaves little to fold back.
	every := max(1, int(rate)/voicingRate)
	low := band[:0]
	for i := 0; i < len(band); i += every {
		low = append(low, band[i])
	}
	v := &voicing{low: low, sum: make([]float64, len(low)+1), perSecond: float64(rate) / float64(every)}
	for i, x := range low {
		v.sum[i+1] = v.sum[i] + x*x
	}
	v.size = v.samples(voicingFrame)
	for v.start(v.count)+v.size <= len(low) {
		v.count++
	}
	var top float64
	for i := range v.count {
		top = max(top, v.energy(i))
	}
	v.least = top * math.Pow(10, -voicingUnder/10)
	return v
}

func (v *voicing) samples(t time.Duration) int { return int(t.Seconds() * v.perSecond) }

// start is the first sample of a frame.
func (v *voicing) start(i int) int { return v.samples(time.Duration(i) * voicingHop) }

func (v *voicing) energy(i int) float64 {
	at := v.start(i)
	return v.sum[at+v.size] - v.sum[at]
}

// voiced reports whether a frame is.
func (v *voicing) voiced(i int) bool {
	if e := v.energy(i); !(e > 0 && e > v.least) {
		return false
	}
	at := v.start(i)
	return repeats(v.low[at:at+v.size], v.sum[at:at+v.size+1], v.perSecond)
}

// middle is the time of the middle of a frame.
func (v *voicing) middle(i int) time.Duration { return time.Duration(i)*voicingHop + voicingFrame/2 }

// near reports whether a frame with its middle within a hop of t is voiced.
func (v *voicing) near(t time.Duration) bool {
	for i := range v.count {
		if (v.middle(i)-t).Abs() <= voicingHop && v.voiced(i) {
			return true
		}
	}
	return false
}

// in counts the voiced frames whose middles lie in a segment.
func (v *voicing) in(s segment) int {
	// Both kinds of frame are taken at their middles.
	from := time.Duration(s.first)*hopTime + (frameTime-hopTime)/2
	to := time.Duration(s.last+1)*hopTime + (frameTime-hopTime)/2
	n := 0
	for i := range v.count {
		if at := v.middle(i); at >= from && at < to && v.voiced(i) {
			n++
		}
	}
	return n
}

// repeats reports whether x resembles itself moved by a pitch period. Sum holds
// the running sum of its squares.
func repeats(x, sum []float64, perSecond float64) bool {
	n := len(x)
	most := int(perSecond / pitchLowest)
	for lag := int(perSecond / pitchHighest); lag <= most; lag += 4 {
		// Four lags at a time: each sum waits for its own last addition only. Those
		// over the end of x hold fewer products, as they should.
		var d0, d1, d2, d3 float64
		y := x[lag:]
		for i := range len(y) - 3 {
			v, w := x[i], (*[4]float64)(y[i:])
			d0 += v * w[0]
			d1 += v * w[1]
			d2 += v * w[2]
			d3 += v * w[3]
		}
		dot := [4]float64{d0, d1, d2, d3}
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
