package audio

import (
	"math/big"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// floorHalf is floor(num/den + 1/2) by other means than the code under test.
func floorHalf(num, den *big.Int) int64 {
	n := new(big.Int).Add(new(big.Int).Mul(num, big.NewInt(2)), den)
	return new(big.Int).Div(n, new(big.Int).Mul(den, big.NewInt(2))).Int64() // Euclidean, so floor for den > 0
}

func anyRate(t *rapid.T) Rate { return Rate(rapid.IntRange(1, int(MaxRate)).Draw(t, "rate")) }

const day = int64(24 * time.Hour)

func TestFrameIsExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rate, ns := anyRate(t), rapid.Int64Range(-day, day).Draw(t, "t")
		want := floorHalf(new(big.Int).Mul(big.NewInt(ns), big.NewInt(int64(rate))), big.NewInt(int64(time.Second)))
		if got := rate.Frame(time.Duration(ns)); got != want {
			t.Fatalf("Rate(%d).Frame(%d ns) = %d, want %d", rate, ns, got, want)
		}
	})
	for _, c := range []struct {
		rate Rate
		t    time.Duration
		want int64
	}{ // just between two frames, on both sides of zero
		{1000, 500 * time.Microsecond, 1}, {1000, -500 * time.Microsecond, 0},
		{1000, -501 * time.Microsecond, -1}, {1000, -1500 * time.Microsecond, -1},
		{MaxRate, 24 * time.Hour, 24 * 3600 * 192000}, {MaxRate, -24 * time.Hour, -24 * 3600 * 192000},
	} {
		if got := c.rate.Frame(c.t); got != c.want {
			t.Errorf("Rate(%d).Frame(%v) = %d, want %d", c.rate, c.t, got, c.want)
		}
	}
}

func TestLengthTurnsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rate := anyRate(t)
		frames := rapid.Int64Range(-24*3600*int64(rate), 24*3600*int64(rate)).Draw(t, "frames")
		length := rate.Length(frames)
		if got := rate.Frame(length); got != frames {
			t.Fatalf("Rate(%d): Frame(Length(%d)) = %d", rate, frames, got)
		}
		// Rounded up, and by less than a nanosecond.
		exact := new(big.Int).Mul(big.NewInt(frames), big.NewInt(int64(time.Second)))
		least := new(big.Int).Mul(big.NewInt(int64(length)), big.NewInt(int64(rate)))
		if over := new(big.Int).Sub(least, exact); over.Sign() < 0 || over.Cmp(big.NewInt(int64(rate))) >= 0 {
			t.Fatalf("Rate(%d).Length(%d) = %d ns", rate, frames, length)
		}
	})
}
