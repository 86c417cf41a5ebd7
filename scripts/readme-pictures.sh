#!/usr/bin/env bash
# Draws the README's pictures anew from the demo rigs: papers to PNG. Needs ./demo done and pdftoppm (poppler-utils).
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
export SOURCE_DATE_EPOCH=1767225600
for rig in trailer boat cabin van; do
    .venv/bin/ohmwright new "$work/$rig" --like "$rig" >/dev/null
done
.venv/bin/ohmwright papers "$work/trailer/rig-built.yaml" -o "$work/papers" >/dev/null || true
pdftoppm -r 42 -png -f 1 -l 1 "$work/papers/circuit-1.pdf" "$work/circuit"
pdftoppm -r 62 -png -f 1 -l 1 "$work/papers/check-report.pdf" "$work/check"
pdftoppm -r 62 -png -f 1 -l 1 "$work/papers/energy.pdf" "$work/energy"
for name in circuit check energy; do
    mv "$work/$name"-*.png "docs/pictures/$name.png"
done
