package audio

import (
	"fmt"
	"math"
	"math/cmplx"
	"testing"
	"time"
)

// gainDB is the filter's gain at hz, from its transfer function.
func gainDB(q Biquad, rate Rate, hz float64) float64 {
	z := cmplx.Exp(complex(0, -angle(rate, hz)))
	h := (complex(q.B0, 0) + z*(complex(q.B1, 0)+z*complex(q.B2, 0))) / (1 + z*(complex(q.A1, 0)+z*complex(q.A2, 0)))
	return 20 * math.Log10(cmplx.Abs(h))
}

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s: got %g, want %g within %g", what, got, want, within)
	}
}

func TestBiquadGains(t *testing.T) {
	half := 10 * math.Log10(0.5) // −3.01 dB
	for _, rate := range []Rate{8000, 22050, 48000, 192000} {
		high, low := HighPass(rate, 80), LowPass(rate, 1000)
		near(t, "high-pass at its edge", gainDB(high, rate, 80), half, 1e-9)
		near(t, "high-pass two octaves below", gainDB(high, rate, 20), -24.1, 0.1)
		near(t, "high-pass far above", gainDB(high, rate, 2000), 0, 0.001)
		near(t, "low-pass at its edge", gainDB(low, rate, 1000), half, 1e-9)
		near(t, "low-pass far below", gainDB(low, rate, 20), 0, 0.001)

		// Butterworth's squared gain is 1/(1+(w/wc)^4) on the warped axis.
		w := math.Tan(angle(rate, 2500)/2) / math.Tan(angle(rate, 1000)/2)
		near(t, "low-pass above its edge", gainDB(low, rate, 2500), -10*math.Log10(1+w*w*w*w), 1e-9)

		for _, gain := range []float64{4, -6} {
			shelf := HighShelf(rate, 2000, gain)
			near(t, "shelf at its corner", gainDB(shelf, rate, 2000), gain/2, 1e-9)
			near(t, "shelf at 0 Hz", gainDB(shelf, rate, 0), 0, 1e-9)
			near(t, "shelf at half the rate", gainDB(shelf, rate, float64(rate)/2), gain, 1e-9)
		}
	}
}

// Filter must do what its transfer function says.
func TestFilterMatchesTransferFunction(t *testing.T) {
	const rate, n = Rate(48000), 48000
	for name, q := range map[string]Biquad{
		"high-pass": HighPass(rate, 80), "low-pass": LowPass(rate, 1000),
		"shelf": HighShelf(rate, 2000, 5),
	} {
		for _, hz := range []float64{100, 1000, 7000} {
			x := make([]float64, n)
			for i := range x {
				x[i] = math.Sin(angle(rate, hz) * float64(i))
			}
			q.Filter(x)
			var sum float64
			for _, v := range x[n/2:] {
				sum += v * v
			}
			got := 10 * math.Log10(sum/(n/2)*2)
			near(t, fmt.Sprintf("%s at %g Hz", name, hz), got, gainDB(q, rate, hz), 0.001)
		}
	}
}

func TestFiltFiltDoesNotDelay(t *testing.T) {
	const rate = Rate(48000)
	for _, q := range []Biquad{LowPass(rate, 500), HighPass(rate, 60), {B0: 0.5, B1: 0.5}} {
		const middle = 6000
		x := make([]float64, 2*middle+1)
		x[middle] = 1
		q.FiltFilt(x)
		for i := 1; i <= middle; i++ {
			if math.Abs(x[middle-i]-x[middle+i]) > 1e-5*math.Abs(x[middle]) {
				t.Fatalf("%+v: not symmetric %d frames off: %g and %g", q, i, x[middle-i], x[middle+i])
			}
		}
	}
	// The end of a sound is treated as its beginning is: reversed in, reversed out.
	q := HighPass(rate, 100)
	x, y := make([]float64, 500), make([]float64, 500)
	for i := range x {
		x[i] = math.Sin(float64(i) * float64(i) / 900)
		y[len(y)-1-i] = x[i]
	}
	q.FiltFilt(x)
	q.FiltFilt(y)
	for i := range x {
		near(t, fmt.Sprintf("reversed sample %d", i), y[len(y)-1-i], x[i], 1e-4)
	}
}

// Silence after a sound must not become slow: a denormal state would.
func TestFilterIsDenormalSafe(t *testing.T) {
	for _, q := range []Biquad{HighPass(48000, 38), LowPass(48000, 8000)} {
		x := make([]float64, 1<<20)
		x[0] = 1
		q.Filter(x)
		for i, v := range x {
			if v != 0 && math.Abs(v) < 1e-300 {
				t.Fatalf("%+v: sample %d is %g", q, i, v)
			}
		}
		if x[len(x)-1] != 0 {
			t.Errorf("%+v: still rings after %v", q, Rate(48000).Length(int64(len(x))).Round(time.Second))
		}
	}
}

func BenchmarkBiquad(b *testing.B) {
	x := make([]float64, 4096)
	q := HighPass(48000, 80)
	for b.Loop() {
		x[0] = 1
		q.Filter(x)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/4096, "ns/sample")
}
