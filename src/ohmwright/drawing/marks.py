"""The cable tag: a number cell, a word, a point towards its subject.  Its ink falls with severity, so that a
photocopy keeps the order; colour adds nothing that word and shape do not say."""

from dataclasses import dataclass

from ohmwright.drawing.canvas import Canvas
from ohmwright.drawing.lettering import CAPITAL, LEAST_mm, text_width
from ohmwright.drawing.shapes import Circle, Colour, Dash, Polyline
from ohmwright.working.quickly import quickly_made


@quickly_made
@dataclass(frozen=True, slots=True)
class Mark:
    """Something said about a subject: the rule's number, the word of its tag, and the sentences.

    `word` is DANGER, FAILS, DISAPPOINTS, NOTE, CANNOT TELL or OVERRIDDEN; `extra` goes behind it in the tag
    (initials and the severity that was overridden).
    """

    subject: str
    number: str
    word: str
    text: str = ""
    remedy: str = ""
    extra: str = ""


#: From the heaviest word to the lightest.
WORDS = ("DANGER", "FAILS", "CANNOT TELL", "DISAPPOINTS", "NOTE", "OVERRIDDEN")


@dataclass(frozen=True, slots=True)
class _Style:
    colour: Colour
    weight: float
    solid: bool = False
    cell: bool = False
    foot: bool = False
    second: bool = False
    struck: bool = False
    dash: Dash = ""


_STYLES: dict[str, _Style] = {
    "DANGER": _Style("red", 0.35, solid=True, second=True),
    "FAILS": _Style("red", 0.35, cell=True),
    "DISAPPOINTS": _Style("violet", 0.35, foot=True),
    "NOTE": _Style("violet", 0.18),
    "CANNOT TELL": _Style("ink", 0.35, dash="tell"),
    "OVERRIDDEN": _Style("graphite", 0.25, struck=True),
}


#: How large the lettering in a tag is, over the tag's height; and the height at which it is the least that is printed.
WITHIN = 0.62
LEAST_TAG_mm = LEAST_mm / CAPITAL / WITHIN


def tag_width(word: str, number: str, height: float, *, with_word: bool, extra: str = "") -> float:
    """How long a tag is, tip included."""
    em = height * WITHIN
    cell = max(height * 0.9, text_width(number, em, "sans-bold") + height * 0.4)
    body = text_width(_told(word, extra), em, "sans-semibold") + height * 0.6 if with_word else 0.0
    return cell + body + height * 0.45


def _told(word: str, extra: str) -> str:
    return " ".join(w for w in (word, "?" if word == "CANNOT TELL" else "", extra) if w)


def tag(
    canvas: Canvas,
    ref: str,
    tip_x: float,
    y: float,
    word: str,
    number: str,
    *,
    height: float = 5.0,
    with_word: bool = False,
    to: str = "right",
    extra: str = "",
) -> None:
    """Draw a tag whose tip is at (tip_x, y), pointing `to` right or left."""
    style = _STYLES[word]
    w = tag_width(word, number, height, with_word=with_word, extra=extra)
    em = height * WITHIN
    h, point = height / 2, height * 0.45
    s = -1.0 if to == "right" else 1.0  # from the tip towards the tail
    cell = max(height * 0.9, text_width(number, em, "sans-bold") + height * 0.4)

    def outline(grow: float) -> tuple[tuple[float, float], ...]:
        tail, shoulder = tip_x + s * (w + grow), tip_x + s * (point - grow * 0.4)
        return (
            (tip_x - s * grow * 1.4, y),
            (shoulder, y - h - grow),
            (tail, y - h - grow),
            (tail, y + h + grow),
            (shoulder, y + h + grow),
        )

    fill: Colour = style.colour if style.solid else "sheet"
    if style.second:
        canvas.add(ref, Polyline(outline(0.8), 0.25, "", style.colour, "flag", True, "sheet"))
    canvas.add(ref, Polyline(outline(0.0), style.weight, style.dash, style.colour, "flag", True, fill))
    # the cell stands at the tail when the tag points right, next to the tip when it points left
    tail = tip_x + s * w
    left, right = (tail, tail + cell) if to == "right" else (tail - cell, tail)
    if with_word and to == "left":
        left, right = tip_x + point, tip_x + point + cell
    ink: Colour = "sheet" if style.solid or style.cell else style.colour
    if style.cell:
        canvas.add(
            ref,
            Polyline(
                ((left, y - h), (right, y - h), (right, y + h), (left, y + h)),
                style.weight,
                "",
                style.colour,
                "flag",
                True,
                style.colour,
            ),
        )
    elif with_word:
        edge = right
        canvas.add(
            ref,
            Polyline(
                ((edge, y - h), (edge, y + h)), 0.18, "", "sheet" if style.solid else style.colour, "flag"
            ),
        )
    if style.foot:
        a, b = min(tail, tip_x + s * point), max(tail, tip_x + s * point)
        canvas.add(
            ref,
            Polyline(
                ((a, y + h - height * 0.14), (b, y + h - height * 0.14), (b, y + h), (a, y + h)),
                0.0,
                "",
                style.colour,
                "flag",
                True,
                style.colour,
            ),
        )
    if style.struck:
        canvas.add(ref, Polyline(((left, y + h), (right, y - h)), 0.35, "", style.colour, "flag"))
    base = y + em * 0.33
    canvas.text(ref, (left + right) / 2, base, number, em, "sans-bold", "middle", ink)
    if with_word:
        x = right + height * 0.3
        canvas.text(
            ref,
            x,
            base,
            _told(word, extra),
            em,
            "sans-semibold",
            "start",
            "sheet" if style.solid else style.colour,
        )


def tick(canvas: Canvas, ref: str, x: float, y: float, size: float = 3.0) -> None:
    """An ink tick: it passes."""
    canvas.add(
        ref,
        Polyline(
            ((x, y), (x + size * 0.35, y + size * 0.4), (x + size, y - size * 0.5)), 0.5, "", "ink", "flag"
        ),
    )


def triangle(canvas: Canvas, ref: str, x: float, y: float, letter: str, em: float) -> None:
    """The revision triangle with its letter, centred on (x, y)."""
    r = em * 0.95
    canvas.add(
        ref,
        Polyline(
            ((x, y - r), (x + r, y + r * 0.75), (x - r, y + r * 0.75)),
            0.25,
            "",
            "violet",
            "flag",
            True,
            "sheet",
        ),
    )
    canvas.text(
        ref, x, y + em * 0.5, letter, max(em * 0.85, LEAST_mm / CAPITAL), "sans-bold", "middle", "violet"
    )


def ring(canvas: Canvas, ref: str, x: float, y: float) -> None:
    """An open end: a small ring."""
    canvas.add(ref, Circle(x, y, 0.7, 0.25, "ink", "symbol", "sheet"))
