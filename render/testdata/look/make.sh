#!/usr/bin/env bash
# Makes the pictures that README.md shows, and a contact sheet to look at, from
# the built-in library. Needs Go, Chromium and pdftoppm; .ci/test installs them.
#
#   bash render/testdata/look/make.sh
set -euo pipefail
cd "$(dirname "$0")/../../.."
here=render/testdata/look
made=$(mktemp -d)
trap 'rm -rf "$made"' EXIT

go run ./cmd/benchproof demo --out "$made/demo"

# page NAME DOCUMENT WORDS: the first page of a PDF that has these words.
page() {
  local pages n
  pages=$(pdfinfo "$made/demo/$2.pdf" | awk '/^Pages:/ {print $2}')
  for ((n = 1; n <= pages; n++)); do
    if pdftotext -f "$n" -l "$n" "$made/demo/$2.pdf" - | tr '\n' ' ' | grep -qF "$3"; then
      pdftoppm -png -r 80 -f "$n" -l "$n" -singlefile "$made/demo/$2.pdf" "$here/$1"
      return
    fi
  done
  echo "no page of $2.pdf has \"$3\"" >&2
  return 1
}

# screen NAME ADDRESS WIDTH HEIGHT: a page of HTML as a browser shows it. The
# frame around it lets an address with a step scroll there before the picture.
screen() {
  printf '<!DOCTYPE html><style>*{margin:0;border:0}iframe{width:%dpx;height:%dpx}</style><iframe src="%s"></iframe>' "$3" "$4" "$2" >"$made/demo/frame.html"
  chromium --headless --no-sandbox --disable-gpu --disable-quic --no-first-run \
    --disable-background-networking --disable-component-update --disable-sync \
    --user-data-dir="$made/profile" --hide-scrollbars --virtual-time-budget=3000 --window-size="$3,$4" \
    --screenshot="$PWD/$here/$1.png" "file://$made/demo/frame.html" >/dev/null 2>&1
  [ -s "$here/$1.png" ]
}

page paper-first seal-change "Replace the mechanical seal"
page paper-decision seal-change "What is the smallest"
screen screen-job seal-change.html 1000 900
screen screen-step "seal-change.html#step-12" 1000 900
screen screen-index index.html 1000 700
ls -l "$here"/*.png
