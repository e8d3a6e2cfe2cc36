package flac

import "bytes"

// block is how many samples of each channel a frame holds: the size most players
// see most.
const block = 4096

// A framer makes frames, one at a time.
type framer struct {
	form    *Format
	bits    bitWriter
	samples [2][]int32
	// residuals of the fixed and of the linear predictor, and the windowed samples.
	residuals [2][]int32
	windowed  []float64
}

func newFramer(form *Format) *framer {
	f := &framer{form: form, windowed: make([]float64, block)}
	for i := range 2 {
		f.samples[i], f.residuals[i] = make([]int32, block), make([]int32, block)
	}
	return f
}

// frame appends frame number of little-endian interleaved PCM to out.
func (f *framer) frame(out, pcm []byte, number int64) []byte {
	n := len(pcm) / f.form.frameBytes()
	w := &f.bits
	*w = bitWriter{out: out}
	start := len(out)
	quiet := silent(pcm)
	twins := !quiet && f.split(pcm, n)
	f.head(n, number, twins)
	for c := range f.form.Channels {
		switch {
		case quiet:
			w.put(0, 8)
			w.put(0, uint(f.form.Bits))
		case c == 1 && twins:
			// The side channel is the difference, and takes one bit more.
			w.put(0, 8)
			w.put(0, uint(f.form.Bits)+1)
		default:
			f.subframe(f.samples[c][:n], uint(f.form.Bits))
		}
	}
	w.align()
	w.put(uint64(sum16(w.out[start:])), 16)
	return w.out
}

// split takes n samples of each channel apart. It reports whether the two
// channels of a stereo frame are alike.
func (f *framer) split(pcm []byte, n int) (twins bool) {
	size, channels := f.form.Bits/8, f.form.Channels
	twins = channels == 2
	for c := range channels {
		in, out := pcm[c*size:], f.samples[c][:n]
		step := size * channels
		if size == 2 {
			for i := range out {
				out[i] = int32(int16(uint16(in[i*step]) | uint16(in[i*step+1])<<8))
			}
		} else {
			for i := range out {
				out[i] = int32(uint32(in[i*step])<<8|uint32(in[i*step+1])<<16|uint32(in[i*step+2])<<24) >> 8
			}
		}
	}
	for i := 0; twins && i < n; i++ {
		twins = f.samples[0][i] == f.samples[1][i]
	}
	return twins
}

// rateCodes are the rates that a frame's head can name (RFC 9639 table 15); of
// others it says that they stand at the beginning of the file.
var rateCodes = map[int64]uint64{88200: 1, 176400: 2, 192000: 3, 8000: 4, 16000: 5, 22050: 6, 24000: 7, 32000: 8, 44100: 9, 48000: 10, 96000: 11}

// head writes the head of a frame of n samples (RFC 9639 section 9.1).
func (f *framer) head(n int, number int64, twins bool) {
	w := &f.bits
	start := len(w.out)
	w.put(0xFFF8, 16) // the sync code of a stream of equal blocks
	const whole, short = 0b1100, 0b0111
	size := uint64(whole)
	if n != block {
		size = short
	}
	w.put(size, 4)
	w.put(rateCodes[int64(f.form.Rate)], 4)
	channels := uint64(f.form.Channels - 1)
	if twins {
		channels = 0b1000 // left and side
	}
	w.put(channels, 4)
	depth := uint64(0b100)
	if f.form.Bits == 24 {
		depth = 0b110
	}
	w.put(depth<<1, 4)
	w.number(uint64(number))
	if n != block {
		w.put(uint64(n-1), 16)
	}
	w.put(uint64(sum8(w.out[start:])), 8)
}

// subframe writes one channel in the shortest of the ways tried (RFC 9639 section
// 9.2): one value for all, a fixed or a linear prediction, or the samples as they
// are.
func (f *framer) subframe(x []int32, depth uint) {
	w := &f.bits
	if constant(x) {
		w.put(0, 8)
		w.signed(x[0], depth)
		return
	}
	p := predictor{order: bestFixed(x)}
	residual := fixed(f.residuals[0], x, p.order)
	how := planRice(residual, p.order)
	how.cost += uint64(p.order) * uint64(depth)
	if lin, ok := linear(x, f.windowed, depth > 16); ok {
		if r, ok := lin.missed(f.residuals[1], x); ok {
			h := planRice(r, lin.order)
			h.cost += uint64(lin.order)*uint64(depth+lin.precision) + 9
			if h.cost < how.cost {
				p, residual, how = lin, r, h
			}
		}
	}
	if how.cost >= uint64(len(x))*uint64(depth) {
		w.put(1<<1, 8)
		for _, v := range x {
			w.signed(v, depth)
		}
		return
	}
	kind := uint64(0b001000 | p.order)
	if p.linear {
		kind = uint64(0b100000 | (p.order - 1))
	}
	w.put(kind<<1, 8)
	for _, v := range x[:p.order] {
		w.signed(v, depth)
	}
	if p.linear {
		w.put(uint64(p.precision-1), 4)
		w.put(uint64(p.shift), 5)
		for _, c := range p.coeffs[:p.order] {
			w.signed(c, p.precision)
		}
	}
	w.residual(residual, p.order, &how)
}

func constant(x []int32) bool {
	for _, v := range x {
		if v != x[0] {
			return false
		}
	}
	return true
}

// silent reports whether bytes are all zero.
func silent(b []byte) bool {
	var zeros [4096]byte
	for len(b) > len(zeros) {
		if !bytes.Equal(b[:len(zeros)], zeros[:]) {
			return false
		}
		b = b[len(zeros):]
	}
	return bytes.Equal(b, zeros[:len(b)])
}
