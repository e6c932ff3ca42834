#!/usr/bin/env bash
# Print pages of the program to PDF and pictures, to be looked at by a person: tests/pages/look.sh FOLDER
# Needs chromium and pdftoppm (Debian: chromium, poppler-utils). That nothing runs over an edge is a test: tests/cli/card.rs.
set -euo pipefail
project="$(cd "$(dirname "$0")/../.." && pwd)"
out="${1:?a folder for the pictures}"
mkdir -p "$out"
washline="$project/target/debug/washline"
book="$project/fixtures/books/lantern-halt.md"

browser() { # OPTIONS…
    local profile
    profile="$(mktemp -d)"
    chromium --headless --no-sandbox --disable-gpu --disable-quic --no-first-run --disable-background-networking \
        --disable-component-update --disable-sync --user-data-dir="$profile" "$@" 2>> "$out/browser.log"
    rm -rf "$profile"
}

page() { # NAME ARGUMENTS…: a page to PDF, its pages to PNG, and what a phone and a desk see of it
    local name="$1"
    shift
    "$washline" "$@" > "$out/$name.html"
    local address
    address="file://$(realpath "$out/$name.html")"
    browser --no-pdf-header-footer --print-to-pdf="$out/$name.pdf" "$address"
    pdftoppm -r 110 -png "$out/$name.pdf" "$out/$name"
    # Headless Chromium keeps no window below 500 wide: the phone is seen a little wide.
    browser --screenshot="$out/$name-phone.png" --window-size=500,3200 "$address"
    browser --screenshot="$out/$name-desk.png" --window-size=1280,2400 "$address"
}

mise="$project/fixtures/books/lantern-halt-mise.md"
limes="$project/fixtures/books/stock-assay-limes.md"
page cards-a6 card --book "$book" --html --paper a6
page cards-a4 card --book "$book" --html --paper a4 --units both
page preparation card "Bay leaf syrup" --book "$mise" --html
page mise card --book "$book" --mise --html
page tasting card --book "$book" --tasting --html
page report report - "$book" --cost
page drink show "Branch Line Rain" --book "$book" --html -
page mend mend "Waiting Room Sun" --book "$book" --html -
page swap swap "Branch Line Rain" "lemon juice" "lime juice" --book "$book" --html -
page travel travel "Branch Line Rain" --to "$limes" --book "$book" --html -
ls "$out"
