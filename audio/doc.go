// Package audio holds sound as numbers: rates and frames, mono sounds, recordings,
// what a sound file tells of itself, resampling and filters. It knows nothing of
// running and imports nothing of ours.
//
// A frame is one instant on all channels. Times are time.Duration outside the
// audio rooms and frames inside; [Rate] is the only bridge between the two.
package audio

// Sound is one mono sound. Samples are linear, with full scale at ±1; they are
// not clipped, so a mix may exceed full scale until it is mastered.
type Sound struct {
	Rate    Rate      // frames per second, 0 only for the zero Sound
	Samples []float32 // one sample a frame
}
