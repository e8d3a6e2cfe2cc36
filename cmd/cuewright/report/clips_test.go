package report

import "testing"

func TestFigure(t *testing.T) {
	for _, c := range []struct {
		v    float64
		unit string
		want string
	}{
		{-0.00739, "dB over noise", "0"},
		{-30, "dB at the edge", "-30"},
		{13.2468, "LU apart", "13.2"},
		{0.0123, "of full scale", "0.0123"},
		{8000, "samples a second", "8000"},
	} {
		if got := figure(c.v, c.unit); got != c.want {
			t.Errorf("%v %s is written as %s, want %s", c.v, c.unit, got, c.want)
		}
	}
}
