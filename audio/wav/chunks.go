package wav

import (
	"encoding/binary"
)

// tail is everything behind the samples: cue points, their labels, texts. The cue
// chunk comes before the labels, since readers lose these otherwise.
func (form Format) tail() []byte {
	var out []byte
	if len(form.Markers) > 0 {
		le := binary.LittleEndian
		points := le.AppendUint32(nil, uint32(len(form.Markers)))
		labels := []byte("adtl")
		for i, m := range form.Markers {
			name := uint32(i + 1)
			points = le.AppendUint32(points, name)
			points = le.AppendUint32(points, uint32(m.Frame)) // place in the order of play
			points = append(points, "data"...)
			points = append(points, make([]byte, 8)...) // of the chunk and of the block in it
			points = le.AppendUint32(points, uint32(m.Frame))
			labels = append(labels, chunk("labl", append(le.AppendUint32(nil, name), zeroEnd(m.Label)...))...)
		}
		out = append(out, chunk("cue ", points)...)
		out = append(out, chunk("LIST", labels)...)
	}
	texts := []byte("INFO")
	for _, t := range []struct{ name, text string }{{"INAM", form.Title}, {"IART", form.Artist}, {"ISFT", form.Software}} {
		if t.text != "" {
			texts = append(texts, chunk(t.name, zeroEnd(t.text))...)
		}
	}
	if len(texts) > len("INFO") {
		out = append(out, chunk("LIST", texts)...)
	}
	return out
}

// chunk is a whole chunk, padded to an even length.
func chunk(name string, body []byte) []byte {
	out := binary.LittleEndian.AppendUint32([]byte(name), uint32(len(body)))
	out = append(out, body...)
	if len(body)%2 == 1 {
		out = append(out, 0)
	}
	return out
}

func zeroEnd(text string) []byte { return append([]byte(text), 0) }
