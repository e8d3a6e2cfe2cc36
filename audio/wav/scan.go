package wav

import (
	"encoding/binary"
	"fmt"
	"io"

	"cuewright/audio"
)

const (
	headLen  = 12 // RIFF, size, WAVE
	chunkLen = 8  // name, size

	maxChunks   = 10000   // in one file; a file of empty chunks would take long
	maxMetadata = 4 << 20 // bytes of one chunk of markers or texts that are read
)

// scanner walks the chunks of a file once and gathers what it finds.
type scanner struct {
	file io.ReaderAt
	size int64 // of the whole file
	riff uint32
	info Info

	format  encoding
	hasFmt  bool
	data    span
	hasData bool
	labels  map[uint32]string // by the name of the cue
	cues    []cue
}

// span is a stretch of bytes in the file.
type span struct{ start, length int64 }

// cue is a marker before its label is known.
type cue struct {
	name  uint32
	frame int64
}

// scan finds format, samples and markers of a file of size bytes.
func scan(file io.ReaderAt, size int64) (*scanner, error) {
	s := &scanner{file: file, size: size, labels: map[uint32]string{}}
	if err := s.head(); err != nil {
		return nil, err
	}
	if err := s.chunks(); err != nil {
		return nil, err
	}
	if !s.hasFmt {
		return nil, FormatError("a WAV file without a fmt chunk")
	}
	if !s.hasData {
		return nil, FormatError("a WAV file without a data chunk")
	}
	if rest := s.data.length % int64(s.format.frame); rest != 0 {
		s.data.length -= rest
		s.warn("the samples end inside a frame: the last %s left out", plural(int(rest), "byte was", "bytes were"))
	}
	s.info.Frames = s.data.length / int64(s.format.frame)
	for _, c := range s.cues {
		s.info.Markers = append(s.info.Markers, audio.Marker{Frame: c.frame, Label: s.labels[c.name]})
	}
	return s, nil
}

func (s *scanner) warn(format string, args ...any) {
	s.info.Warnings = append(s.info.Warnings, fmt.Sprintf(format, args...))
}

// head reads the first 12 bytes.
func (s *scanner) head() error {
	var head [headLen]byte
	if err := s.read(head[:], 0); err != nil {
		return err
	}
	switch name := string(head[:4]); name {
	case "RIFF":
	case "RIFX":
		return audio.UnsupportedError("a WAV file with its bytes in big-endian order (RIFX)")
	case "RF64", "BW64":
		return audio.UnsupportedError("a WAV file for more than 4 GiB (" + name + ")")
	default:
		return FormatError("not a WAV file: it does not begin with RIFF")
	}
	if form := string(head[8:]); form != "WAVE" {
		return FormatError(fmt.Sprintf("not a WAV file: a RIFF file of form %q", form))
	}
	s.riff = binary.LittleEndian.Uint32(head[4:])
	return nil
}

// read fills p from the file; a file that is too short is a FormatError.
func (s *scanner) read(p []byte, at int64) error {
	if at+int64(len(p)) > s.size {
		return FormatError("the file ends too early to be a WAV file")
	}
	if n, err := s.file.ReadAt(p, at); n < len(p) {
		return fmt.Errorf("reading at byte %d: %w", at, err)
	}
	return nil
}

// chunks walks all chunks from the first to the end of the file.
func (s *scanner) chunks() error {
	pos := int64(headLen)
	for n := 0; pos+chunkLen <= s.size; n++ {
		if n == maxChunks {
			s.warn("more than %d chunks: the rest was left out", maxChunks)
			break
		}
		var head [chunkLen]byte
		if err := s.read(head[:], pos); err != nil {
			return err
		}
		name, declared := string(head[:4]), int64(binary.LittleEndian.Uint32(head[4:]))
		body := span{pos + chunkLen, min(declared, s.size-pos-chunkLen)}
		if body.length < declared && name != "data" {
			s.warn("the chunk %q claims %d bytes, the file has %d left", name, declared, body.length)
		}
		var err error
		switch name {
		case "fmt ":
			err = s.readFormat(body, declared)
		case "data":
			s.takeData(&body, declared)
		case "cue ":
			err = s.readCues(body)
		case "LIST":
			err = s.readList(body)
		}
		if err != nil {
			return err
		}
		pos = s.after(body)
	}
	return nil
}

// after is where the next chunk begins: behind the body and the byte that pads it
// to an even length. Some programs forget that byte; then the next name stands
// where it should be.
func (s *scanner) after(body span) int64 {
	end := body.start + body.length
	if body.length%2 == 0 {
		return end
	}
	var next [4]byte
	if s.read(next[:], end) == nil && known[string(next[:])] {
		s.warn("the chunk before %q is not padded to an even length", next)
		return end
	}
	return end + 1
}

// known are names that may stand where padding is missing.
var known = map[string]bool{
	"fmt ": true, "data": true, "fact": true, "LIST": true, "cue ": true, "bext": true, "JUNK": true,
	"labl": true, "note": true, "ltxt": true,
	"INAM": true, "IART": true, "ISFT": true, "ICMT": true, "ICOP": true, "ICRD": true, "IGNR": true,
}

func (s *scanner) readFormat(body span, declared int64) error {
	const least, most = 16, 4096
	if s.hasFmt {
		s.warn("a second fmt chunk was left out")
		return nil
	}
	if declared < least || declared > most || body.length < declared {
		return FormatError(fmt.Sprintf("the fmt chunk is damaged: it claims %d bytes", declared))
	}
	raw := make([]byte, body.length)
	if err := s.read(raw, body.start); err != nil {
		return err
	}
	le := binary.LittleEndian
	rate := le.Uint32(raw[4:])
	if rate < uint32(audio.MinRate) || rate > uint32(audio.MaxRate) {
		return audio.UnsupportedError(fmt.Sprintf("a WAV file of %d frames a second (%d to %d can be read)", rate, audio.MinRate, audio.MaxRate))
	}
	tag := le.Uint16(raw)
	if tag == tagExtensible && len(raw) >= 26 {
		tag = le.Uint16(raw[24:]) // the first two bytes of the sub-format's GUID
	}
	format, err := newEncoding(tag, int(le.Uint16(raw[2:])), int(le.Uint16(raw[14:])), int(le.Uint16(raw[12:])))
	if err != nil {
		return err
	}
	s.hasFmt, s.format = true, format
	s.info.Rate, s.info.Channels, s.info.Bits = audio.Rate(rate), format.channels, 8*format.bytes
	return nil
}

// takeData notes where the samples stand, and corrects body where the size is one
// that only says that the writer could not know it.
func (s *scanner) takeData(body *span, declared int64) {
	const endless = 0x7FFFF000 // and above: what programs write to a pipe
	if s.hasData {
		s.warn("a second data chunk was left out")
		return
	}
	rest := s.size - body.start
	switch {
	case declared >= endless && declared > rest:
		body.length = rest
	case declared == 0 && rest > 0 && int64(s.riff)+chunkLen != s.size:
		body.length = rest
		s.warn("the data chunk claims to be empty: read up to the end of the file")
	case declared > rest:
		s.warn("the file is cut off: %d of %d bytes of samples are there", rest, declared)
	}
	s.hasData, s.data = true, *body
}
