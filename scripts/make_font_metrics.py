"""Bake the advance widths of the lettering into one small packaged file.

Run it when a face changes:  .venv/bin/python scripts/make_font_metrics.py DIR_WITH_TTF
The program measures text with this table and never opens a font.
"""

import json
import sys
from pathlib import Path

from fontTools.ttLib import TTFont

FACES = {
    "sans": "SourceSans3-Regular.ttf",
    "sans-semibold": "SourceSans3-Semibold.ttf",
    "sans-bold": "SourceSans3-Bold.ttf",
    "serif": "SourceSerif4-Regular.ttf",
    "serif-semibold": "SourceSerif4-Semibold.ttf",
}
RANGES = (
    (0x20, 0x7E),
    (0xA0, 0x17F),
    (0x370, 0x3FF),
    (0x400, 0x45F),
    (0x2010, 0x2027),
    (0x2030, 0x203A),
    (0x2070, 0x2094),
)
SINGLES = "\u202f\u2009€Ω℃→←↑↓↔−∓√∞≈≠≤≥◂▸▲▼✓□■●○⌀"
TARGET = Path(__file__).parent.parent / "src" / "ohmwright" / "drawing" / "widths.json"


def measure(path: Path) -> dict[str, object]:
    """Widths in thousandths of an em by character, and the capital height."""
    font = TTFont(path)
    per_em = font["head"].unitsPerEm
    names = font.getBestCmap()
    advance = font["hmtx"]
    codes = [c for a, b in RANGES for c in range(a, b + 1)] + [ord(c) for c in SINGLES]
    widths = {chr(c): round(advance[names[c]][0] * 1000 / per_em) for c in sorted(set(codes)) if c in names}
    os2 = font["OS/2"]
    return {
        "capital": round(os2.sCapHeight * 1000 / per_em),
        "x": round(os2.sxHeight * 1000 / per_em),
        "widths": {
            "".join(c for c, w in widths.items() if w == each): each for each in sorted(set(widths.values()))
        },
    }


def main(folder: str) -> None:
    """Write the table."""
    table = {face: measure(Path(folder) / name) for face, name in FACES.items()}
    TARGET.write_text(json.dumps(table, ensure_ascii=False, indent=0) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main(sys.argv[1])
