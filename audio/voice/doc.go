// Package voice turns a folder of recordings into sentences.
//
// A recording's file name is the text it speaks: speed.wav, five-point-five.mp3,
// lift_your_knees.flac. The files go.wav, go.2.wav and go.3.wav are takes of one
// text. A file voice.yaml beside them may name the language and give other names:
//
//	language: en
//	files:
//	  Recording 14.wav: bring it down
//	  Recording 15.wav: bring it down
//
// Open reads the names only. A sentence is then spoken with the fewest recordings
// that cover its words, and only those recordings are decoded, each of them once:
//
//	root, err := os.OpenRoot("voices/anna") // which links do not lead out of
//	v, err := voice.Open(root.FS(), voice.Options{Rate: 48000})
//	s, missing := v.Speak("speed five to seven, press on the long tone")
//	for _, p := range v.Lay(s, nil) {
//		// add p.Clip.Samples to the track, p.Offset frames after the sentence's start
//	}
//
// How a recording is prepared is told in audio/clip.
//
// A bad recording never stops anything: it is left out or used as it is, and
// becomes a [Fault].
package voice
