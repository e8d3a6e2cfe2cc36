package wav

import (
	"bytes"
	"encoding/binary"
	"strings"
)

// metadata reads the body of a chunk, as far as it is there and of a sane length.
func (s *scanner) metadata(body span) ([]byte, error) {
	if body.length > maxMetadata {
		s.warn("a chunk of %d bytes of markers or texts was cut off", body.length)
		body.length = maxMetadata
	}
	raw := make([]byte, body.length)
	return raw, s.read(raw, body.start)
}

// readCues reads a cue chunk: a count, and 24 bytes a point.
func (s *scanner) readCues(body span) error {
	const countLen, pointLen = 4, 24
	raw, err := s.metadata(body)
	if err != nil || len(raw) < countLen {
		return err
	}
	points := raw[countLen:]
	for range binary.LittleEndian.Uint32(raw) {
		if len(points) < pointLen {
			s.warn("the cue chunk is cut off: %d markers were found", len(s.cues))
			break
		}
		// dwName, dwPosition, fccChunk, dwChunkStart, dwBlockStart, dwSampleOffset.
		name, frame := binary.LittleEndian.Uint32(points), binary.LittleEndian.Uint32(points[20:])
		s.cues = append(s.cues, cue{name, int64(frame)})
		points = points[pointLen:]
	}
	return nil
}

// readList reads a LIST chunk of type adtl (labels) or INFO (title and artist).
func (s *scanner) readList(body span) error {
	const typeLen = 4
	if body.length < typeLen {
		return nil
	}
	var kind [typeLen]byte
	if err := s.read(kind[:], body.start); err != nil {
		return err
	}
	if k := string(kind[:]); k != "adtl" && k != "INFO" {
		return nil
	}
	raw, err := s.metadata(span{body.start + typeLen, body.length - typeLen})
	if err != nil {
		return err
	}
	for len(raw) >= chunkLen {
		name, declared := string(raw[:4]), binary.LittleEndian.Uint32(raw[4:])
		raw = raw[chunkLen:]
		text := raw[:min(uint64(declared), uint64(len(raw)))]
		s.takeText(name, text)
		raw = raw[len(text):]
		if len(text)%2 == 1 && len(raw) > 0 {
			if len(raw) >= 4 && known[string(raw[:4])] {
				s.warn("the text before %q is not padded to an even length", raw[:4])
			} else {
				raw = raw[1:]
			}
		}
	}
	return nil
}

// takeText keeps a text that belongs to a marker or to the file.
func (s *scanner) takeText(name string, text []byte) {
	switch name {
	case "labl":
		if len(text) >= 4 {
			s.labels[binary.LittleEndian.Uint32(text)] = zeroEnded(text[4:])
		}
	case "INAM":
		s.info.Title = zeroEnded(text)
	case "IART":
		s.info.Artist = zeroEnded(text)
	}
}

// zeroEnded is the text up to its first zero byte. Old files hold other code
// pages than UTF-8; what is not valid there shows as the replacement character.
func zeroEnded(text []byte) string {
	text, _, _ = bytes.Cut(text, []byte{0})
	return strings.ToValidUTF8(string(text), "�")
}
