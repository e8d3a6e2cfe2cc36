#!/usr/bin/env bash
# Makes class-page.png, the picture of the README: the head and the drawing of the
# page of harbour-steps.yaml, as a browser shows it with light colours.
#
#     ./make-picture.sh [OUT]      OUT is class-page.png beside this script without it
#
# Needs Go and chromium. Another chromium, or other fonts, draw other bytes.
set -euo pipefail

here=$(cd "$(dirname "$0")" && pwd)
out=$(realpath -m "${1:-$here/class-page.png}")

command -v chromium >/dev/null || { echo "make-picture: chromium is not installed" >&2; exit 1; }

work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
(cd "$here/.." && go run ./cmd/cuewright page samples/harbour-steps.yaml -o "$work/page.html")

# The drawing ends 750 points below the top; without a window nothing asks for dark colours.
chromium --headless --no-sandbox --disable-gpu --hide-scrollbars --user-data-dir="$work/profile" \
    --window-size=900,750 --virtual-time-budget=3000 --screenshot="$out" "file://$work/page.html" 2>"$work/log" ||
    { cat "$work/log" >&2; exit 1; }
echo "$out"
