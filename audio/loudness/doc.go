// Package loudness measures how loud a sound is heard and how high it peaks, as
// Recommendation ITU-R BS.1770-5 (11/2023) lays down: K-weighting, loudness with
// and without gates (Annex 1) and true peak (Annex 2); and, over the same weighted
// sound, momentary and short-term loudness and loudness range as EBU Tech 3341 and
// EBU Tech 3342 (November 2023) do.
//
// Loudness is given in LUFS, which BS.1770 calls LKFS; silence is -Inf. One
// channel of weight 1 is counted once, so a mono sound reads 3.01 LU lower here
// than the same sound in both channels of a stereo file. Where a track is to be
// taken as heard from two speakers, a [Meter] with the weight 2 says so.
package loudness
