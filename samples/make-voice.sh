#!/usr/bin/env bash
# Makes the recordings of the demo voice, voice/*.flac, from voice.txt.
#
#     ./make-voice.sh [OUT]      OUT is voice/ beside this script without it
#
# Needs flite (with its voice rms) and sox with FLAC: on Debian and its relatives
# apt install flite sox libsox-fmt-base. The same versions give the same bytes.
set -euo pipefail
export LC_ALL=C

here=$(cd "$(dirname "$0")" && pwd)
list=$here/voice.txt
out=${1:-$here/voice}

stop() { echo "make-voice: $1" >&2; exit 1; }

for tool in flite sox soxi; do
    command -v "$tool" >/dev/null || stop "$tool is not installed: install flite and sox"
done
flite -lv | grep -qw rms || stop "flite has no voice rms"
sox --help | grep '^AUDIO FILE FORMATS' | grep -qw flac || stop "sox cannot write FLAC: install libsox-fmt-base"

work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
mkdir "$work/voice"

# Frames at 16 kHz.
readonly around=960            # kept before and after the speech: 60 ms
readonly quiet=-50d            # below this is no speech, against a peak of -3 dBFS

# silence_before FILE: frames before the first sound of a file.
silence_before() {
    sox -R -D "$1" "$work/rest.wav" silence 1 0.01 $quiet
    echo $(( $(soxi -s "$1") - $(soxi -s "$work/rest.wav") ))
}

# speak TEXT TAKE FILE
speak() {
    local take=() all from to
    # The synthesiser says a text one way only: a second take is 3 % lower and slower.
    [ "$2" = 1 ] || take=(speed 0.97 rate -v 16k)
    flite -voice rms -t "$1" "$work/raw.wav"

    # gain -20 leaves room for the shelf, the pads make sure of enough silence.
    sox -R -D "$work/raw.wav" -e signed -b 24 "$work/loud.wav" \
        gain -20 "${take[@]}" highpass 70 treble +9 1500 gain -n -3 pad 0.06 0.06
    sox -R -D "$work/loud.wav" "$work/back.wav" reverse
    all=$(soxi -s "$work/loud.wav")
    from=$(( $(silence_before "$work/loud.wav") - around ))
    to=$(( all - $(silence_before "$work/back.wav") + around ))

    # The synthesiser's hiss after a word is faded out. In the 80 ms of digital
    # silence at the front a trimmer finds the noise floor; with 60 ms that fade it
    # may take soft consonants for it. Samples are rounded to 13 bits, an eighth and
    # then eight times it: noise at -83 dBFS, which nobody hears, and a third less to
    # store. -D: no dither, which would fill the silence.
    sox -R -D "$work/loud.wav" -b 16 "$work/small.wav" \
        trim ${from}s $((to - from))s fade h 0.01 -0 0.06 pad 0.08 vol 0.125
    sox -R -D "$work/small.wav" -C 8 --comment "" "$3" vol 8
}

count=0
while IFS= read -r line; do
    case $line in '' | '#'*) continue ;; esac
    text=${line%% = *}
    spelling=${line#* = }
    take=1
    if [[ $text =~ ^(.*)\.([0-9]+)$ ]]; then
        take=${BASH_REMATCH[2]}
        [ "$spelling" != "$line" ] || spelling=${BASH_REMATCH[1]}
    fi
    file=$work/voice/${text// /-}.flac
    [ ! -e "$file" ] || stop "voice.txt has \"$text\" twice"
    speak "$spelling" "$take" "$file"
    count=$((count + 1))
done <"$list"

mkdir -p "$out"
rm -f "$out"/*.flac
mv "$work"/voice/*.flac "$out"
echo "$count recordings, $(cat "$out"/*.flac | wc -c) bytes"
