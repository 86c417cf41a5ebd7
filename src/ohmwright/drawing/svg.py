"""A sheet as SVG: millimetres, the same bytes for the same sheet, presentation attributes only."""

import math
from collections.abc import Callable, Iterator
from typing import Any, TypeVar
from xml.sax.saxutils import escape

from ohmwright.drawing.shapes import (
    DASHES,
    INK_HEX,
    Arc,
    Circle,
    Colour,
    Face,
    Hit,
    Line,
    Pin,
    Polyline,
    Shape,
    Sheet,
    Text,
)

#: Faces as SVG names them; the name must be quoted, for one part of it begins with a digit.
FAMILIES: dict[Face, str] = {
    "sans": """font-family="'Source Sans 3', sans-serif" """,
    "sans-semibold": """font-family="'Source Sans 3', sans-serif" font-weight="600" """,
    "sans-bold": """font-family="'Source Sans 3', sans-serif" font-weight="700" """,
    "serif": """font-family="'Source Serif 4', serif" """,
    "serif-semibold": """font-family="'Source Serif 4', serif" font-weight="600" """,
}


def _n(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".") if value else "0"


def _stroke(weight: float, dash: str, colour: Colour, cap: str = "") -> str:
    pattern = DASHES[dash]  # type: ignore[index]
    dashes = f' stroke-dasharray="{" ".join(_n(d) for d in pattern)}"' if pattern else ""
    return f'stroke="{INK_HEX[colour]}" stroke-width="{_n(weight)}"{dashes}{cap}'


def _fill(colour: str) -> str:
    return f'fill="{INK_HEX[colour]}"' if colour else 'fill="none"'  # type: ignore[index]


def _shape(s: Shape) -> str:
    match s:
        case Line(x1, y1, x2, y2, weight, dash, colour, layer):
            cap = ' stroke-linecap="square"' if layer in ("conductor", "bus") and not dash else ""
            return f'<line x1="{_n(x1)}" y1="{_n(y1)}" x2="{_n(x2)}" y2="{_n(y2)}" {_stroke(weight, dash, colour, cap)}/>'
        case Polyline(points, weight, dash, colour, _, closed, fill):
            name = "polygon" if closed else "polyline"
            told = " ".join(f"{_n(x)},{_n(y)}" for x, y in points)
            stroke = _stroke(weight, dash, colour) if weight else 'stroke="none"'
            return f'<{name} points="{told}" {_fill(fill)} {stroke}/>'
        case Circle(cx, cy, r, weight, colour, _, fill):
            stroke = _stroke(weight, "", colour) if weight else 'stroke="none"'
            return f'<circle cx="{_n(cx)}" cy="{_n(cy)}" r="{_n(r)}" {_fill(fill)} {stroke}/>'
        case Arc(cx, cy, r, a, b, weight, dash, colour):
            x1, y1 = cx + r * math.cos(math.radians(a)), cy + r * math.sin(math.radians(a))
            x2, y2 = cx + r * math.cos(math.radians(b)), cy + r * math.sin(math.radians(b))
            large = 1 if (b - a) % 360 > 180 else 0
            return f'<path d="M{_n(x1)} {_n(y1)}A{_n(r)} {_n(r)} 0 {large} 1 {_n(x2)} {_n(y2)}" fill="none" {_stroke(weight, dash, colour)}/>'
        case Text(x, y, text, em, face, anchor, colour):
            where = "" if anchor == "start" else f' text-anchor="{anchor}"'
            return f'<text x="{_n(x)}" y="{_n(y)}" {FAMILIES[face]}font-size="{_n(em)}"{where} fill="{INK_HEX[colour]}">{escape(text)}</text>'
        case Pin():
            return ""


def _hit(hit: Hit) -> str:
    told = " ".join(f"{_n(x)},{_n(y)}" for x, y in hit.points)
    return f'<polyline data-ref="{_attribute(hit.ref)}" points="{told}" fill="none" stroke="{INK_HEX["ink"]}" stroke-opacity="0" stroke-width="3"/>'


#: What a sheet drawn again has of the sheet before: its groups and hits, by the tuple itself, and their text.
_KEPT: dict[int, tuple[tuple[Any, ...], str]] = {}
MOST_KEPT = 4000
T = TypeVar("T")


def _kept(some: tuple[T, ...], line_of: Callable[[T], str]) -> str:
    """The elements of a group, a line each."""
    kept = _KEPT.get(id(some))
    if kept is None or kept[0] is not some:
        kept = some, "\n".join(line for s in some if (line := line_of(s)))
        if len(_KEPT) >= MOST_KEPT:
            _KEPT.clear()
        _KEPT[id(some)] = kept
    return kept[1]


def _attribute(text: str) -> str:
    return escape(text, {'"': "&quot;"})


def _lines(sheet: Sheet) -> Iterator[str]:
    w, h = _n(sheet.width), _n(sheet.height)
    yield f'<svg xmlns="http://www.w3.org/2000/svg" width="{w}mm" height="{h}mm" viewBox="0 0 {w} {h}" role="img" aria-labelledby="sheet-title sheet-desc">'
    yield f'<title id="sheet-title">{escape(sheet.title)}</title>'
    yield f'<desc id="sheet-desc">{escape(sheet.description)}</desc>'
    yield f'<rect x="0" y="0" width="{w}" height="{h}" fill="{INK_HEX["sheet"]}"/>'
    for group in sheet.groups:
        ref = f' data-ref="{_attribute(group.ref)}"' if group.ref else ""
        yield f"<g{ref}>"
        if group.title:
            yield f"<title>{escape(group.title)}</title>"
        if ink := _kept(group.shapes, _shape):
            yield ink
        yield "</g>"
    if touched := _kept(sheet.hits, _hit):
        yield touched
    yield "</svg>"


def svg_of(sheet: Sheet) -> str:
    """The sheet as an SVG document."""
    return "\n".join(_lines(sheet)) + "\n"
