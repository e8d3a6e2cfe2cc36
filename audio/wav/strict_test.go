package wav

import (
	"cuewright/audio"
	"encoding/binary"
	"fmt"
	"testing"
)

// strict walks a file as a fussy reader would and fails the test at the first
// byte that is not as the layout wants it. It shares nothing with the package.
type strict struct {
	rate, channels, bits int
	data                 []byte
	cues                 map[uint32]uint32 // frame by name
	labels               map[uint32]string
	texts                map[string]string
	broadcast            []byte
	order                []string
}

func walk(t *testing.T, file []byte) strict {
	t.Helper()
	u16 := func(b []byte) int { return int(binary.LittleEndian.Uint16(b)) }
	u32 := func(b []byte) uint32 { return binary.LittleEndian.Uint32(b) }
	out := strict{cues: map[uint32]uint32{}, labels: map[uint32]string{}, texts: map[string]string{}}
	if len(file) < 12 || string(file[:4]) != "RIFF" || string(file[8:12]) != "WAVE" {
		t.Fatalf("no RIFF/WAVE head: % x", file[:min(12, len(file))])
	}
	if got := int(u32(file[4:])); got != len(file)-8 {
		t.Fatalf("RIFF size is %d, want %d", got, len(file)-8)
	}
	// each calls f for every chunk in b, which must be filled by chunks exactly.
	each := func(where string, b []byte, f func(name string, body []byte)) {
		for len(b) > 0 {
			if len(b) < 8 {
				t.Fatalf("%s: %d stray bytes", where, len(b))
			}
			name, size := string(b[:4]), int(u32(b[4:]))
			if padded := size + size%2; len(b) < 8+padded {
				t.Fatalf("%s: chunk %q of %d bytes runs past its end", where, name, size)
			} else if padded > size && b[8+size] != 0 {
				t.Fatalf("%s: the pad byte of %q is %d", where, name, b[8+size])
			} else {
				f(name, b[8:8+size])
				b = b[8+padded:]
			}
		}
	}
	text := func(b []byte) string {
		if len(b) == 0 || b[len(b)-1] != 0 {
			t.Fatalf("text %q has no zero at its end", b)
		}
		return string(b[:len(b)-1])
	}
	each("file", file[12:], func(name string, body []byte) {
		if name == "LIST" {
			name += " " + string(body[:4])
		}
		out.order = append(out.order, name)
		switch name {
		case "fmt ":
			if len(body) != 16 || u16(body) != 1 {
				t.Fatalf("fmt chunk of %d bytes, tag %d", len(body), u16(body))
			}
			out.channels, out.rate, out.bits = u16(body[2:]), int(u32(body[4:])), u16(body[14:])
			if frame := u16(body[12:]); frame != out.channels*out.bits/8 || int(u32(body[8:])) != frame*out.rate {
				t.Fatalf("fmt chunk: %d bytes a frame, %d a second", frame, u32(body[8:]))
			}
		case "data":
			out.data = body
		case "cue ":
			n := int(u32(body))
			if len(body) != 4+24*n {
				t.Fatalf("cue chunk of %d bytes for %d points", len(body), n)
			}
			for i := range n {
				p := body[4+24*i:]
				id, frame := u32(p), u32(p[20:])
				if _, twice := out.cues[id]; twice || u32(p[4:]) != frame || string(p[8:12]) != "data" || u32(p[12:]) != 0 || u32(p[16:]) != 0 {
					t.Fatalf("cue point %d: % x", i, p[:24])
				}
				out.cues[id] = frame
			}
		case "LIST adtl":
			each("adtl", body[4:], func(name string, body []byte) {
				id := u32(body)
				if _, ok := out.cues[id]; name != "labl" || !ok {
					t.Fatalf("adtl chunk %q for cue %d", name, id)
				}
				out.labels[id] = text(body[4:])
			})
		case "LIST INFO":
			each("INFO", body[4:], func(name string, body []byte) { out.texts[name] = text(body) })
		case "bext":
			out.broadcast = body
		default:
			t.Fatalf("unexpected chunk %q", name)
		}
	})
	return out
}

// markers are the cue points with their labels, in the order of their names.
func (s strict) markers() (out []audio.Marker) {
	for id := uint32(1); int(id) <= len(s.cues); id++ {
		out = append(out, audio.Marker{Frame: int64(s.cues[id]), Label: s.labels[id]})
	}
	return out
}

func (s strict) String() string {
	return fmt.Sprintf("%d Hz, %d channels, %d bits, %d bytes, %v", s.rate, s.channels, s.bits, len(s.data), s.order)
}
