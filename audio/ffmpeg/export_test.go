package ffmpeg

// The limits of one recording, for tests that will not wait for them.
var (
	ClipTime  = &clipTime
	ClipBytes = &clipBytes
)
