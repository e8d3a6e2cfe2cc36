// Package verify judges whether a finished track holds what its list of cues promises:
// every tone, click, call and silence in its place, loudness, peaks, markers.
//
// What is due where is worked out in expect, what is heard is measured in measure, and
// this package compares the two: functions of both, with the limits beside them.
//
// It is meant to find a mistake of what makes a track. So what a tone and a click are
// stands in audio/listen, and where they are due, to the frame, in expect, a second
// time. Not everything stands twice: the class in time and the names of its segments
// (plan/class), the list of calls itself (cues), and the meter of loudness and true peak
// (audio/loudness) are those that the track was made with, and a mistake in them is not
// found here.
//
// Words are not understood: a phrase that lasts as long as the one due passes for it.
//
// Music of a plan is not known beforehand: it is measured in the gaps that the other
// sounds leave, for its level, its duck and its fades. Under it no silence is due, the
// edges of calls and the lengths of tones cannot be measured, and tones and clicks only
// where they stand out. Where it stops and starts again within the class is not judged.
package verify
