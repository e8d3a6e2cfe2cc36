// Package mp3 reads MP3 files: MPEG-1 and MPEG-2 audio of layer III (ISO/IEC 11172-3
// and 13818-3), whole or in blocks.
//
// The samples come from github.com/hajimehoshi/go-mp3, which gives noise, runs out of
// its tables or forgets a byte on streams that users have. So it never sees a file as
// it is: this package finds the frames, puts right what the decoder would fail on
// (repair.go says what), and cuts off what the encoder added at both ends.
package mp3
