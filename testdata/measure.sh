#!/usr/bin/env bash
# measure.sh TRACK.wav: what tools that are not ours say of a rendered track. Fails
# where they do not accept it, find no chapters, or measure a level out of bounds.
set -euo pipefail
track=$1
sox --i "$track" >/dev/null
chapters=$(ffprobe -v error -show_chapters -of csv=p=0 "$track" | wc -l)
[ "$chapters" -ge 3 ] || { echo "$track: $chapters chapters"; exit 1; }
# A mono file is measured here as one speaker; the target counts two (+3.01 LU).
levels=$(ffmpeg -hide_banner -nostats -i "$track" -af "aformat=channel_layouts=mono,ebur128=peak=true:dualmono=true" -f null - 2>&1 | sed -n '/Summary/,$p')
loudness=$(sed -n 's/^ *I: *\([-0-9.]*\) LUFS/\1/p' <<<"$levels")
peak=$(sed -n 's/^ *Peak: *\([-0-9.]*\) dBFS/\1/p' <<<"$levels")
awk -v i="$loudness" -v p="$peak" 'BEGIN { exit !(i > -18.5 && i < -14.5 && p <= -0.9) }' ||
  { echo "$track: $loudness LUFS, peak $peak dBTP"; exit 1; }
echo "$track: accepted, $chapters chapters, $loudness LUFS as a whole, peak $peak dBTP"
