"""Cut the typefaces of the bench down to the letters and signs that its sheets are written in.

.venv/bin/python scripts/small_types.py node_modules/ohmwright-types

Whole faces are 100 kB each, and a telephone waits ten seconds for five of them.  They stay beside these: a browser fetches
a whole face only for a letter that is missing here (style sheet: `unicode-range`, which says the same as LETTERS).
"""

import sys
from pathlib import Path

from fontTools import subset

ROOT = Path(__file__).parents[1]
FACES = (
    "source-sans/TTF/SourceSans3-Regular",
    "source-sans/TTF/SourceSans3-Semibold",
    "source-sans/TTF/SourceSans3-Bold",
    "source-serif/TTF/SourceSerif4-Regular",
    "source-serif/TTF/SourceSerif4-Semibold",
)
#: Latin of western Europe, the Greek of formulas, raised and lowered figures, dashes, spaces, arrows and signs of reckoning.
LETTERS = (
    "U+0020-007E, U+00A0-00FF, U+0131, U+0152-0153, U+02C6, U+02DA, U+02DC, U+0394, U+03A9, U+03B1-03C9, U+2009-200A, "
    "U+2010-2026, U+202F, U+2030, U+2032-2033, U+2044, U+2070-209F, U+20AC, U+2122, U+2190-2193, U+2211-2212, U+2215, "
    "U+221A, U+2248, U+2260, U+2264-2265, U+2713"
)
KEPT = ["kern", "liga", "mark", "mkmk", "ccmp", "locl", "tnum", "zero", "frac", "sups", "subs"]


def cut(face: str, out: Path) -> int:
    """Write one face with these letters alone; its bytes. WOFF, because WOFF2 takes a packer that is not needed elsewhere."""
    options = subset.Options(flavor="woff", layout_features=KEPT, hinting=False, notdef_outline=True)
    font = subset.load_font(str(ROOT / "node_modules" / f"{face}.ttf"), options)
    maker = subset.Subsetter(options)
    maker.populate(unicodes=subset.parse_unicodes(LETTERS))
    maker.subset(font)
    file = out / f"{Path(face).name}.woff"
    subset.save_font(font, str(file), options)
    return file.stat().st_size


def main() -> None:
    """Cut all of them."""
    out = Path(sys.argv[1])
    out.mkdir(parents=True, exist_ok=True)
    for face in FACES:
        cut(face, out)


if __name__ == "__main__":
    main()
