package decode

import (
	"bytes"
	"cuewright/audio/mp3"
)

// A kind is a kind of file that is known but not read natively.
type kind struct {
	at    int    // where in the file its magic stands
	magic string // the bytes that tell it
	name  string
	// reader is ffmpeg's name for its own reader of the kind. ffmpeg is given it and
	// never guesses: among those it would guess are play lists, which open other files.
	reader string
}

var kinds = []kind{
	{4, "ftyp", "an MPEG-4 file (m4a)", "mov"},
	{0, "OggS", "an Ogg file", "ogg"},
	{0, "\x1aE\xdf\xa3", "a Matroska or WebM file", "matroska"},
	{0, "FORM", "an AIFF file", "aiff"},
	{0, "caff", "a CAF file", "caf"},
	{0, ".snd", "an AU file", "au"},
	{0, "RIFF", "a RIFF file that is not a WAV file", ""},
	{0, "riff", "a Wave64 file", "w64"},
	{0, "#!AMR", "an AMR file", "amr"},
	{0, "0&\xb2u\x8ef\xcf\x11", "a Windows Media file", "asf"},
	{0, "wvpk", "a WavPack file", "wv"},
	{0, "MAC ", "an APE file", "ape"},
	{0, "ADIF", "an AAC file", "aac"},
	{0, "\xff\xf0", "an AAC file", "aac"}, // with or without a checksum, of MPEG-4 or MPEG-2
	{0, "\xff\xf1", "an AAC file", "aac"},
	{0, "\xff\xf8", "an AAC file", "aac"},
	{0, "\xff\xf9", "an AAC file", "aac"},
}

// kindOf is the kind of a file by its first bytes, which may stand behind tags.
// Its name is empty where it is none of those.
func kindOf(data []byte) kind {
	for _, b := range [][]byte{data, data[mp3.TagsLen(data):]} {
		for _, k := range kinds {
			if len(b) > k.at && bytes.HasPrefix(b[k.at:], []byte(k.magic)) {
				return k
			}
		}
	}
	return kind{}
}

// readerFor is ffmpeg's reader of a file, those of the kinds among WAV, MP3 and
// FLAC that are not read natively included; "" for unknown kinds.
func readerFor(data []byte) string {
	body := data[mp3.TagsLen(data):]
	if isWAV(data) {
		return "wav"
	}
	if isFLAC(body) {
		return "flac"
	}
	if k := kindOf(data); k.name != "" {
		return k.reader
	}
	if _, ok := mp3.Find(body); ok {
		return "mp3"
	}
	return ""
}

func isWAV(data []byte) bool {
	if len(data) < 12 {
		return false
	}
	switch string(data[:4]) {
	case "RIFF", "RIFX", "RF64", "BW64":
		return string(data[8:12]) == "WAVE"
	}
	return false
}

func isFLAC(body []byte) bool { return bytes.HasPrefix(body, []byte("fLaC")) }
