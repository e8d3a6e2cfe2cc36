package flac

import (
	"cuewright/audio"
	"encoding/binary"
	"fmt"
	"time"

	"github.com/mewkiz/flac/meta"
)

// Where things stand in a file (RFC 9639 section 8): "fLaC", the head of STREAMINFO,
// which begins with the smallest and the largest block, and behind its 34 bytes the
// seek table.
const (
	blockSizesAt = 4 + 4
	seekTableAt  = blockSizesAt + 34 + 4

	pointLen = 18
	maxLen   = 1<<24 - 1 // of a block of metadata
)

// seekStep is how far the points of the seek table lie apart.
const seekStep = 10 * time.Second

// maxChapters is how many the three digits of a chapter's name can count.
const maxChapters = 1000

// metadata are the blocks before the first frame. The points of the seek table are
// still empty.
func metadata(f *audio.FileInfo) ([]*meta.Block, error) {
	var blocks []*meta.Block
	if points := seekPoints(f); points > 0 {
		blocks = append(blocks, &meta.Block{
			Header: meta.Header{Type: meta.TypeSeekTable, Length: points * pointLen},
			Body:   &meta.SeekTable{Points: make([]meta.SeekPoint, points)},
		})
	}
	text, length, err := comments(f)
	if err != nil {
		return nil, err
	}
	return append(blocks, &meta.Block{Header: meta.Header{Type: meta.TypeVorbisComment, Length: length}, Body: text}), nil
}

// seekPoints is how many points the seek table has; 0 where it would be too large.
func seekPoints(f *audio.FileInfo) int64 {
	step := f.Rate.Frame(seekStep)
	if n := (f.Frames + step - 1) / step; n*pointLen <= maxLen {
		return n
	}
	return 0
}

// point adds a point to the seek table if the frame of n samples that is next holds
// the moment of one.
func (w *Writer) point(n int) {
	number := len(w.seek) / pointLen
	if int64(number) == seekPoints(&w.form) {
		return
	}
	if moment := w.form.Rate.Frame(time.Duration(number) * seekStep); moment < w.done+int64(n) {
		be := binary.BigEndian
		w.seek = be.AppendUint64(w.seek, uint64(w.done))
		w.seek = be.AppendUint64(w.seek, uint64(w.file.at-w.first))
		w.seek = be.AppendUint16(w.seek, uint16(n))
	}
}

// comments is the block of that name (RFC 9639 section 8.6): title, artist, and
// the first thousand markers as chapters, in the way that is common practice in
// Vorbis comments (Xiph.Org, "Chapter Extension"). length is that of the block.
func comments(f *audio.FileInfo) (text *meta.VorbisComment, length int64, err error) {
	text = &meta.VorbisComment{Vendor: "cuewright"}
	add := func(name, value string) {
		if value != "" {
			text.Tags = append(text.Tags, [2]string{name, value})
		}
	}
	add("TITLE", f.Title)
	add("ARTIST", f.Artist)
	for i, m := range f.Markers[:min(len(f.Markers), maxChapters)] {
		name := fmt.Sprintf("CHAPTER%03d", i)
		add(name, clock(f.Rate, m))
		add(name+"NAME", m.Label)
	}
	length = int64(4 + len(text.Vendor) + 4)
	for _, tag := range text.Tags {
		length += int64(4 + len(tag[0]) + 1 + len(tag[1]))
	}
	if length > maxLen {
		return nil, 0, fmt.Errorf("flac: %d bytes of texts are more than a FLAC file can hold", length)
	}
	return text, length, nil
}

// clock is the time of a marker as hh:mm:ss.sss.
func clock(r audio.Rate, m audio.Marker) string {
	rate := int64(r)
	ms := (m.Frame*2000 + rate) / (2 * rate)
	return fmt.Sprintf("%02d:%02d:%02d.%03d", ms/3_600_000, ms/60_000%60, ms/1000%60, ms%1000)
}
