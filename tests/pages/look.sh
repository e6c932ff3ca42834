#!/usr/bin/env bash
# Print pages of the program to PDF and pictures, to be looked at by a person: tests/pages/look.sh FOLDER
# Needs chromium and pdftoppm (Debian: chromium, poppler-utils). That nothing runs over an edge is a test: tests/cli/card.rs.
set -euo pipefail
project="$(cd "$(dirname "$0")/../.." && pwd)"
out="${1:?a folder for the pictures}"
mkdir -p "$out"
washline="$project/target/debug/washline"
book="$project/fixtures/books/lantern-halt.md"

page() { # NAME ARGUMENTS…: a page to PDF and PNG
    local name="$1"
    shift
    "$washline" "$@" > "$out/$name.html"
    local profile
    profile="$(mktemp -d)"
    chromium --headless --no-sandbox --disable-gpu --disable-quic --no-first-run --disable-background-networking \
        --disable-component-update --disable-sync --user-data-dir="$profile" --no-pdf-header-footer \
        --print-to-pdf="$out/$name.pdf" "file://$(realpath "$out/$name.html")" 2> "$out/$name.log"
    rm -rf "$profile"
    pdftoppm -r 110 -png "$out/$name.pdf" "$out/$name"
}

page cards-a6 card --book "$book" --html --paper a6
page cards-a4 card --book "$book" --html --paper a4 --units both
page report report - "$book" --cost
ls "$out"
