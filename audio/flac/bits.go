package flac

// bitWriter gathers bits, the most significant first.
type bitWriter struct {
	out  []byte
	acc  uint64 // the last held bits, not yet in out
	held uint   // fewer than 8 between calls
}

// put writes the low n bits of v, n up to 56; the others must be zero.
func (w *bitWriter) put(v uint64, n uint) {
	w.acc = w.acc<<n | v
	w.held += n
	for w.held >= 8 {
		w.held -= 8
		w.out = append(w.out, byte(w.acc>>w.held))
	}
}

// signed writes v as a number of n bits in two's complement.
func (w *bitWriter) signed(v int32, n uint) { w.put(uint64(uint32(v))&(1<<n-1), n) }

// unary writes zeros and a one.
func (w *bitWriter) unary(zeros uint32) {
	for ; zeros >= 32; zeros -= 32 {
		w.put(0, 32)
	}
	w.put(1, uint(zeros)+1)
}

// align fills the last byte with zeros.
func (w *bitWriter) align() {
	if w.held > 0 {
		w.put(0, 8-w.held)
	}
}

// number writes a frame number in the way of UTF-8, with up to 36 bits (RFC 9639
// section 9.1.5).
func (w *bitWriter) number(v uint64) {
	if v < 0x80 {
		w.put(v, 8)
		return
	}
	// With n bytes behind it the first has room for 6-n bits.
	n := uint(1)
	for v>>(6*n+6-n) > 0 {
		n++
	}
	w.put((0xFF<<(7-n)|v>>(6*n))&0xFF, 8)
	for n > 0 {
		n--
		w.put(0x80|v>>(6*n)&0x3F, 8)
	}
}

// The check sums of a frame's head and of a whole frame (RFC 9639 sections 9.1.8
// and 9.3): polynomials x^8+x^2+x+1 and x^16+x^15+x^2+1, from zero.
var (
	table8  [256]uint8
	table16 [256]uint16
)

func init() {
	for i := range 256 {
		a, b := uint8(i), uint16(i)<<8
		for range 8 {
			a = a<<1 ^ a>>7*0x07
			b = b<<1 ^ b>>15*0x8005
		}
		table8[i], table16[i] = a, b
	}
}

func sum8(data []byte) (sum uint8) {
	for _, b := range data {
		sum = table8[sum^b]
	}
	return sum
}

func sum16(data []byte) (sum uint16) {
	for _, b := range data {
		sum = sum<<8 ^ table16[byte(sum>>8)^b]
	}
	return sum
}
