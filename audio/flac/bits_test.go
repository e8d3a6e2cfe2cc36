package flac

import (
	"testing"
	"unicode/utf8"
)

// The check values of both sums for the digits 1 to 9, as catalogues of CRCs give
// them (CRC-8/SMBUS and CRC-16/UMTS; from memory).
func TestSums(t *testing.T) {
	digits := []byte("123456789")
	if a, b := sum8(digits), sum16(digits); a != 0xF4 || b != 0xFEE8 {
		t.Errorf("the sums are %x and %x, want f4 and fee8", a, b)
	}
}

// Frame numbers are written as UTF-8 writes characters, as far as that goes, and
// beyond with up to seven bytes.
func TestNumber(t *testing.T) {
	for v := range uint64(utf8.MaxRune + 1) {
		if !utf8.ValidRune(rune(v)) {
			continue
		}
		var w bitWriter
		w.number(v)
		if got, _ := utf8.DecodeRune(w.out); got != rune(v) || len(w.out) != utf8.RuneLen(rune(v)) {
			t.Fatalf("%x is written % x", v, w.out)
		}
	}
	var w bitWriter
	w.number(1<<31 - 1)
	if want := "\xfd\xbf\xbf\xbf\xbf\xbf"; string(w.out) != want {
		t.Errorf("the largest frame number is written % x, want % x", w.out, want)
	}
}
