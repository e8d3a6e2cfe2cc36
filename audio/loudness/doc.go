// Package loudness measures how loud a sound is heard and how high it peaks, as
// Recommendation ITU-R BS.1770-5 (11/2023) lays down: K-weighting, loudness with
// and without gates (Annex 1) and true peak (Annex 2).
//
// Loudness is given in LUFS, which BS.1770 calls LKFS; silence is -Inf. One
// channel of weight 1 is counted once, so a mono sound reads 3.01 LU lower here
// than the same sound in both channels of a stereo file. Where a track is to be
// taken as heard from two speakers, a [Meter] with the weight 2 says so.
package loudness
