"""From what a service answers to the text of a page: templates, tags, figures in the reader's units."""

import re
from functools import lru_cache
from typing import Any
from urllib.parse import quote

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup, escape

from ohmwright.services.words import CAUTION, MONTHS
from ohmwright.working import Absent, Figure, Given, NotThere, Unknown, convert, tell

_MAP, _POLE = re.compile(r"\{([^{}]*)\}"), re.compile(r"^([^:\s]+):\s*")
TAG_MM = 6.0
PX_PER_MM = 4.0
#: Units that people in the United States read a figure in, by the unit it is kept in.
US_UNITS = {"m": ("ft", 3.280839895), "kg": ("lb", 2.204622622)}


@lru_cache(maxsize=2000)
def tag_mark(word: str, number: str, extra: str = "", with_word: bool = True) -> Markup:
    """A cable tag as a picture with its words for whoever cannot see it."""
    from ohmwright.drawing.canvas import Canvas
    from ohmwright.drawing.marks import tag, tag_width
    from ohmwright.drawing.shapes import Group, Sheet, moved
    from ohmwright.drawing.svg import svg_of

    canvas = Canvas()
    wide = tag_width(word, number, TAG_MM, with_word=with_word, extra=extra) + 2.4
    tag(
        canvas,
        "",
        wide - 1.6,
        TAG_MM / 2 + 1.0,
        word,
        number,
        height=TAG_MM,
        with_word=with_word,
        extra=extra,
    )
    high = TAG_MM + 2.0
    sheet = Sheet(
        "", "", "", wide, high, (Group("", "", tuple(moved(s, 0.0, 0.0) for _, s in canvas.items)),)
    )
    inside = svg_of(sheet).partition("/>\n")[2].replace("</svg>\n", "")
    said = " ".join(w for w in (word.lower(), f"note {number}" if number else "", extra) if w)
    return Markup(
        f'<svg class="tag" xmlns="http://www.w3.org/2000/svg" width="{wide * PX_PER_MM:.0f}" height="{high * PX_PER_MM:.0f}" '
        f'viewBox="0 0 {wide:.2f} {high:.2f}" role="img" aria-label="{escape(said)}">{inside}</svg>'
    )


TICK = Markup(
    '<svg class="tick" viewBox="0 0 12 12" width="16" height="16" role="img" aria-label="in order">'
    '<polyline points="1,6 4.5,10 11,1" fill="none" stroke="#15191C" stroke-width="1.6"/></svg>'
)


def told(given: Given, units: str = "metric") -> str:
    """A figure for a reader, or the kind of not-knowing."""
    if isinstance(given, Figure):
        return amount(given.value, given.unit, units)
    if isinstance(given, Unknown):
        return f"unknown, asked {given.asked}" if given.asked else "unknown"
    return {NotThere: "none", Absent: "not given"}[type(given)]


def amount(value: float | None, unit: str, units: str = "metric", digits: int = 3) -> str:
    """A value with its unit, in feet and pounds where that is asked for and can be told."""
    if value is None:
        return "?"
    if units == "us" and unit in US_UNITS:
        symbol, factor = US_UNITS[unit]
        return f"{value * factor:.{digits}g} {symbol}"
    if units == "us" and unit == "degC":
        return f"{convert(value, 'degC', 'degF'):.0f} °F"
    if unit == "mm2":
        return f"{value / 100:.{digits}g} cm²" if value >= 1000 else f"{value:.{digits}g} mm²"
    return tell(value, unit, digits)


def span(metres: float, units: str = "metric") -> str:
    """A dimension of a drawing: metres, or feet and inches to the nearest sixteenth.

    >>> print(span(0.9), "=", span(0.9, "us"))
    0.9 m = 2'-11 7/16"
    """
    from ohmwright.drawing.scales import feet_and_inches

    return feet_and_inches(metres * 1000.0) if units == "us" else tell(metres, "m", 3)


def days(text: str) -> str:
    """A sentence with the spans of the file's stays in words.

    >>> days("Duluth MN 04-20..10-20: 60 of 184 days are lived in")
    'Duluth MN 20 April to 20 October: 60 of 184 days are lived in'
    """
    from ohmwright.papers.catalogue import words
    from ohmwright.papers.dates import with_dates

    return with_dates(text, words())


def written(given: Given) -> str:
    """What a field holds: the figure as the file says it; nothing where the file says nothing."""
    if isinstance(given, Figure):
        return given.text or tell(given.value, given.unit, 6)
    if isinstance(given, Unknown):
        return f"unknown (asked {given.asked})" if given.asked else "unknown"
    return "none" if isinstance(given, NotThere) else ""


def ends(text: str) -> str:
    """The end of a run that leads to several terminals, as people write it.

    >>> ends("{+: FS1.line, -: XJ.a.-}"), ends("F6.load to {L: U2.ac-in.L1, PE: XE.1}"), ends("XP.1")
    ('+ FS1.line, − XJ.a.-', 'F6.load to L U2.ac-in.L1, PE XE.1', 'XP.1')
    """
    return _MAP.sub(lambda m: ", ".join(_POLE.sub(_pole, w.strip()) for w in m[1].split(",")), text)


def _pole(found: re.Match[str]) -> str:
    return f"{'−' if found[1] == '-' else found[1]} "


def path(*words: str) -> str:
    """An address on this bench, every word of it made harmless."""
    return "/" + "/".join(quote(w, safe="@") for w in words)


def environment() -> Environment:
    """The templates; every value that is put into one is escaped."""
    env = Environment(
        loader=PackageLoader("ohmwright.web"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    env.globals.update(
        tag=tag_mark,
        TICK=TICK,
        CAUTION=CAUTION,
        MONTHS=MONTHS,
        path=path,
        told=told,
        amount=amount,
        span=span,
        written=written,
    )
    env.filters["days"] = days
    env.filters["ends"] = ends
    env.filters["q"] = lambda w: quote(str(w), safe="")
    return env


_TAGS = re.compile(r"(<[^>]*>)")
#: What stands in these is written by people or read back by the program.
_AS_WRITTEN = ("h1", "bdi", "option", "textarea", "script", "style")


def in_us_units(page: str) -> str:
    """The text of a page with its metric figures in US units; fields, choices and names stay as they are written.

    >>> in_us_units('<p title="9 m">9.0 m of 70 mm2 at 40 °C</p><h1>The 9 m boat</h1>')
    '<p title="9 m">29.5 ft of 70 mm2 at 104 °F</p><h1>The 9 m boat</h1>'
    """
    from ohmwright.papers.units import in_us

    out: list[str] = []
    inside = ""
    for n, piece in enumerate(_TAGS.split(page)):
        if n % 2:
            name = piece.strip("</>").partition(" ")[0].lower()
            if name in _AS_WRITTEN:
                inside = "" if piece.startswith("</") else name
            out.append(piece)
        else:
            out.append(piece if inside or not piece else in_us(piece))
    return "".join(out)


def attributes(values: dict[str, Any]) -> Markup:
    """Attributes of an element, escaped."""
    return Markup(" ").join(Markup('{}="{}"').format(k, v) for k, v in values.items())
