package voice

import (
	"cmp"
	"cuewright/audio/words"
	"path"
	"strconv"
	"strings"
)

// readable are the endings of recordings that are read as they are.
var readable = map[string]bool{".wav": true, ".mp3": true, ".flac": true}

// foreign are the endings of audio files that need converting first. Phones
// and browsers write .m4a, .3gp, .amr, .ogg, .opus and .webm.
var foreign = map[string]bool{
	".m4a": true, ".m4b": true, ".mp4": true, ".aac": true, ".ogg": true, ".oga": true, ".opus": true,
	".webm": true, ".weba": true, ".wma": true, ".aif": true, ".aiff": true, ".caf": true, ".amr": true,
	".3gp": true, ".mka": true, ".mp2": true, ".wv": true, ".ape": true, ".au": true, ".w64": true,
}

// ending gives a file's ending in lower case with its point.
func ending(file string) string { return strings.ToLower(path.Ext(file)) }

// spokenBy reads a file name: the text, folded as by Words, and the number of
// the take, 1 where the name has none. The text is empty where the name holds
// no words.
func spokenBy(file string) (text string, take int) {
	stem := strings.TrimSuffix(file, path.Ext(file))
	take = 1
	if dot := strings.LastIndexByte(stem, '.'); dot > 0 {
		if n, err := strconv.ParseUint(stem[dot+1:], 10, 31); err == nil {
			stem, take = stem[:dot], int(n)
		}
	}
	return words.Fold(stem), take
}

// byTake orders the takes of one text: by their numbers, then by file name.
func byTake(a, b *recording) int {
	return cmp.Or(cmp.Compare(a.take, b.take), cmp.Compare(a.file, b.file))
}
