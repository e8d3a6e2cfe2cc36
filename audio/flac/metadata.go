package flac

import (
	"encoding/binary"
	"fmt"
	"strings"
	"time"
	"unicode/utf8"

	"cuewright/audio/wav"
)

// Kinds of metadata (RFC 9639 section 8.1), and where the first stands.
const (
	streamInfo, seekTable, comments = 0, 3, 4

	last         = 0x80 // set in the kind of the last one
	streamInfoAt = 8    // in the file
	infoLen      = 34
	pointLen     = 18
	mostLen      = 1<<24 - 1
)

// seekStep is how far the points of the seek table lie apart.
const seekStep = 10 * time.Second

// mostChapters is how many the three digits of a chapter's name can count.
const mostChapters = 1000

// metadata is everything before the first frame. The facts that are known only at
// the end are still zero.
func (w *Writer) metadata() ([]byte, error) {
	text, err := w.form.comments()
	if err != nil {
		return nil, err
	}
	out := []byte("fLaC")
	add := func(kind byte, body []byte) {
		out = binary.BigEndian.AppendUint32(out, uint32(kind)<<24|uint32(len(body)))
		out = append(out, body...)
	}
	add(streamInfo, w.info([16]byte{}))
	step := int64(w.form.Rate.Frame(seekStep))
	if points := (w.form.Frames + step - 1) / step; points > 0 && points*pointLen <= mostLen {
		w.seekAt = int64(len(out)) + 4
		add(seekTable, make([]byte, points*pointLen))
	}
	add(comments|last, text)
	return out, nil
}

// info is the block STREAMINFO (RFC 9639 section 8.2). The smallest block is told
// as if the last one were not shorter, as the standard has it.
func (w *Writer) info(sum [16]byte) []byte {
	b := bitWriter{out: make([]byte, 0, infoLen)}
	b.put(block, 16)
	b.put(block, 16)
	if w.largest == 0 {
		b.put(0, 48) // not known
	} else {
		b.put(uint64(w.smallest), 24)
		b.put(uint64(w.largest), 24)
	}
	b.put(uint64(w.form.Rate), 20)
	b.put(uint64(w.form.Channels-1), 3)
	b.put(uint64(w.form.Bits-1), 5)
	b.put(uint64(w.form.Frames), 36)
	return append(b.out, sum[:]...)
}

// note takes down what the head must tell of the next frame, of so many bytes.
func (w *Writer) note(length int) {
	w.smallest, w.largest = min(w.smallest, length), max(w.largest, length)
	number := int64(len(w.seek) / pointLen)
	first := (w.frames - int64(len(w.running)) - 1) * block
	samples := min(block, w.form.Frames-first)
	// The frame in which the moment of the next point lies.
	if moment := w.form.Rate.Frame(time.Duration(number) * seekStep); moment < first+samples {
		be := binary.BigEndian
		w.seek = be.AppendUint64(w.seek, uint64(first))
		w.seek = be.AppendUint64(w.seek, uint64(w.position))
		w.seek = be.AppendUint16(w.seek, uint16(samples))
	}
	w.position += int64(length)
}

// complete writes into the head what is known at the end.
func (w *Writer) complete() error {
	var sum [16]byte
	w.sum.Sum(sum[:0])
	if _, err := w.file.WriteAt(w.info(sum), streamInfoAt); err != nil {
		return err
	}
	if w.seekAt == 0 {
		return nil
	}
	_, err := w.file.WriteAt(w.seek, w.seekAt)
	return err
}

// comments is the block of that name (RFC 9639 section 8.6): title, artist, and
// the first thousand markers as chapters, in the way that is common practice in
// Vorbis comments (Xiph.Org, "Chapter Extension").
func (f *Format) comments() ([]byte, error) {
	var lines []string
	add := func(name, text string) {
		if text != "" {
			lines = append(lines, name+"="+text)
		}
	}
	add("TITLE", f.Title)
	add("ARTIST", f.Artist)
	for i, m := range f.Markers[:min(len(f.Markers), mostChapters)] {
		name := fmt.Sprintf("CHAPTER%03d", i)
		add(name, f.clock(m))
		add(name+"NAME", m.Label)
	}
	le := binary.LittleEndian
	const vendor = "cuewright"
	out := append(le.AppendUint32(nil, uint32(len(vendor))), vendor...)
	out = le.AppendUint32(out, uint32(len(lines)))
	for _, line := range lines {
		if !utf8.ValidString(line) || strings.ContainsRune(line, 0) {
			return nil, fmt.Errorf("flac: cannot write the text %q: it is not UTF-8 or holds a zero", line)
		}
		out = append(le.AppendUint32(out, uint32(len(line))), line...)
	}
	if len(out) > mostLen {
		return nil, fmt.Errorf("flac: %d bytes of texts are more than a FLAC file can hold", len(out))
	}
	return out, nil
}

// clock is the time of a marker as hh:mm:ss.sss.
func (f *Format) clock(m wav.Marker) string {
	rate := int64(f.Rate)
	ms := (m.Frame*2000 + rate) / (2 * rate)
	return fmt.Sprintf("%02d:%02d:%02d.%03d", ms/3_600_000, ms/60_000%60, ms/1000%60, ms%1000)
}
