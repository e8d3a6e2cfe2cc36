package pcm

import (
	"bytes"
	"math/rand/v2"
	"testing"
)

// TestPieces: the bytes do not depend on where encoding begins and ends.
func TestPieces(t *testing.T) {
	rng, x := rand.New(rand.NewPCG(1, 1)), make([]float32, 5001)
	for i := range x {
		x[i] = float32(0.3 * rng.NormFloat64())
	}
	for _, f := range []Form{{Bits: 16, Channels: 1}, {Bits: 16, Channels: 2}, {Bits: 24, Channels: 1}, {Bits: 24, Channels: 2}} {
		want := make([]byte, len(x)*f.FrameBytes())
		f.Encode(want, x, 77)
		for _, piece := range []int{1, 2, 3, 511, 513, 1024} {
			got := make([]byte, len(want))
			for at := 0; at < len(x); at += piece {
				f.Encode(got[at*f.FrameBytes():], x[at:min(at+piece, len(x))], 77+int64(at))
			}
			if !bytes.Equal(got, want) {
				t.Errorf("%+v: pieces of %d give other bytes", f, piece)
			}
		}
	}
}

// TestClip: what is far over full scale is clipped, not wrapped; little-endian, both channels alike.
func TestClip(t *testing.T) {
	for _, c := range []struct {
		form     Form
		up, down []byte
	}{
		{Form{Bits: 16, Channels: 1}, []byte{0xff, 0x7f}, []byte{0x00, 0x80}},
		{Form{Bits: 16, Channels: 2}, []byte{0xff, 0x7f, 0xff, 0x7f}, []byte{0x00, 0x80, 0x00, 0x80}},
		{Form{Bits: 24, Channels: 1}, []byte{0xff, 0xff, 0x7f}, []byte{0x00, 0x00, 0x80}},
	} {
		got := make([]byte, 2*c.form.FrameBytes())
		c.form.Encode(got, []float32{1e6, -1e6}, 0)
		if want := append(bytes.Clone(c.up), c.down...); !bytes.Equal(got, want) {
			t.Errorf("%+v: %x, want %x", c.form, got, want)
		}
	}
}
