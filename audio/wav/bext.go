package wav

import (
	"encoding/binary"
	"fmt"
	"math"
	"strings"
)

// Loudness is what a broadcast chunk tells of a file as it stands, a mono file
// counted once. NaN and infinities are what is not known.
type Loudness struct {
	Integrated float64 // LUFS
	Range      float64 // LU
	TruePeak   float64 // dBTP
	Momentary  float64 // LUFS, the maximum
	ShortTerm  float64 // LUFS, the maximum
}

// unknown is a loudness field that is not used (EBU Tech 3285 v2 section 2.3).
const unknown = 0x7FFF

// hundredths is a level as a field of the chunk holds it.
func hundredths(x float64) uint16 {
	const most = 9999
	v := math.Round(100 * x)
	if !(math.Abs(v) <= most) { // NaN too
		return unknown
	}
	return uint16(int16(v))
}

// broadcast is the chunk bext of EBU Tech 3285 version 2, as laid out in
// testdata/reference/wav/layout.json. There is no date in it, so that the same
// plan gives the same bytes, and no identifier; the time is counted from 0.
func (form Format) broadcast(l Loudness) []byte {
	const (
		description, originator, reference = 256, 32, 32
		dateTimeAndCount                   = 10 + 8 + 8
		version                            = 2
		umid, reserved                     = 64, 180
	)
	out := make([]byte, description, 700)
	copy(out, ascii(form.Title))
	out = append(out, make([]byte, originator)...)
	copy(out[description:], ascii(form.Software))
	out = append(out, make([]byte, reference+dateTimeAndCount)...)
	le := binary.LittleEndian
	out = le.AppendUint16(out, version)
	out = append(out, make([]byte, umid)...)
	for _, x := range []float64{l.Integrated, l.Range, l.TruePeak, l.Momentary, l.ShortTerm} {
		out = le.AppendUint16(out, hundredths(x))
	}
	out = append(out, make([]byte, reserved)...)
	sides := map[int]string{1: "mono", 2: "stereo"}
	out = fmt.Appendf(out, "A=PCM,F=%d,W=%d,M=%s\r\n", form.Rate, form.Bits, sides[form.Channels])
	return chunk("bext", out)
}

// ascii is a text in the only characters the chunk may hold.
func ascii(text string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r > '~' {
			return '?'
		}
		return r
	}, text)
}
