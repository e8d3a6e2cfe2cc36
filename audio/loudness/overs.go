package loudness

// Support is how many frames before and after a frame its true peak depends on.
const Support = taps

// MaxOvershoot is the most by which a true peak can exceed the largest sample near it:
// the largest sum of the magnitudes of the interpolator's taps. What stays under
// a limit divided by MaxOvershoot needs no interpolation.
func MaxOvershoot() float32 { return reach }

// Overs finds where x exceeds a limit: over is called with the index of each
// sample at or beside which the magnitude of the sample, or of a point of the
// interpolator, is above the limit, and with that magnitude. An index may come
// up several times. Around x silence is taken to stand; the first and last Support
// indices depend on it.
func Overs(x []float32, limit float32, over func(i int, peak float32)) {
	const stride = 16 // no less than history: a point reaches back into one stride only
	var before float32
	for from := 0; from < len(x); from += stride {
		to := min(from+stride, len(x))
		most := magnitude(x[from:to])
		bound := max(most, before) * reach
		before = most
		if bound <= limit {
			continue
		}
		for i := from; i < to; i++ {
			if m := abs(x[i]); m > limit {
				over(i, m)
			}
			if i < history {
				continue
			}
			if y := interpolated((*[taps]float32)(x[i-history : i+1])); y > limit {
				// The points lie between the two samples in the middle of the taps.
				over(i-taps/2, y)
				over(i-taps/2+1, y)
			}
		}
	}
}
