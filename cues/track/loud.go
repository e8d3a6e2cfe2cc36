package track

import (
	"bytes"
	"io"
	"math"
	"time"

	"cuewright/audio"
	"cuewright/audio/loudness"
	"cuewright/audio/mix"
	"cuewright/audio/wav"
)

// A listener passes the bytes of a track on and measures them: what a meter says
// of the finished file, a mono file counted once.
type listener struct {
	io.Writer
	meter *loudness.Meter
	form  mix.Form
	block []float32
}

// newListener listens to what is written to w. Both channels of a stereo file are
// alike, so one is measured for both.
func newListener(w io.Writer, rate audio.Rate, form mix.Form) *listener {
	return &listener{Writer: w, meter: loudness.NewMeter(rate, float64(form.Channels)), form: form, block: make([]float32, 1024)}
}

// Write takes whole frames.
func (l *listener) Write(p []byte) (int, error) {
	frame := l.form.Bits / 8 * l.form.Channels
	size := len(l.block) * frame
	zeros := make([]byte, size)
	for at := 0; at < len(p); at += size {
		b := p[at:min(at+size, len(p))]
		if bytes.Equal(b, zeros[:len(b)]) {
			l.meter.AddSilence(int64(len(b) / frame))
			continue
		}
		out := l.block[:len(b)/frame]
		for i := range out {
			s := b[i*frame:]
			// The bytes are the high ones of 32 bits.
			v := uint32(s[0])<<16 | uint32(s[1])<<24
			if l.form.Bits == 24 {
				v = uint32(s[0])<<8 | uint32(s[1])<<16 | uint32(s[2])<<24
			}
			out[i] = float32(int32(v)) / (1 << 31)
		}
		l.meter.Add(out)
	}
	return l.Writer.Write(p)
}

// loudness is what was measured, with the true peak of the master. The range says
// nothing of less than a minute (EBU Tech 3341 section 2.4).
func (l *listener) loudness(t *Track) wav.Loudness {
	out := wav.Loudness{Integrated: l.meter.Integrated(), Range: math.NaN(), TruePeak: t.Master.Peak,
		Momentary: l.meter.MaxMomentary(), ShortTerm: l.meter.MaxShortTerm()}
	if t.Frames >= t.Rate.Frame(time.Minute) {
		out.Range = l.meter.Range()
	}
	if t.isPart() { // whose own peak nobody measured
		out.TruePeak = math.NaN()
	}
	return out
}
