"""How wide a text is, without opening a font: a table of advance widths, baked once."""

import json
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from functools import lru_cache

from ohmwright.drawing.shapes import Box, Face, Text
from ohmwright.working import packaged

#: Capital height over em size, the same for both faces within 1.5 %.
CAPITAL = 0.66
#: The least height of capitals that is printed on a drawing, mm.
LEAST_mm = 2.1
#: How far letters like g reach below the base line, over em size.
DESCENT = 0.2
#: From base line to base line, over em size.
LEADING = 1.22

Turn = Callable[[str], str]
_turn: ContextVar[Turn | None] = ContextVar("turn", default=None)


@contextmanager
def lettered_in(turn: Turn | None) -> Iterator[None]:
    """While this holds, every text is turned (other units, another language) before it is measured, broken and lettered."""
    before = _turn.set(turn)
    try:
        yield
    finally:
        _turn.reset(before)


def turned(text: str) -> str:
    """The text as it will be lettered. What is turned already stays as it is."""
    turn = _turn.get()
    return text if turn is None else turn(text)


def in_inches() -> bool:
    """True where lengths are lettered in feet and inches."""
    return turned("1 mm").endswith("in")


@dataclass(frozen=True, slots=True)
class _Table:
    widths: dict[str, int]
    usual: int


@lru_cache(maxsize=1)
def _tables() -> dict[str, _Table]:
    told = json.loads(packaged("ohmwright.drawing", "widths.json"))
    out = {}
    for face, entry in told.items():
        widths = {c: w for many, w in entry["widths"].items() for c in many}
        out[face] = _Table(widths, max(widths.values()))
    return out


@lru_cache(maxsize=16384)
def _width_thousandths(text: str, face: Face) -> int:
    table = _tables()[face]
    return sum(table.widths.get(c, table.usual) for c in text)


def text_width(text: str, em: float, face: Face = "sans") -> float:
    """The width of a line of text in the unit of `em`; a letter outside the table counts as the widest."""
    return _width_thousandths(turned(text), face) * em / 1000


def lacking(text: str, face: Face) -> str:
    """The letters that the face does not have: they print as empty boxes."""
    widths = _tables()[face].widths
    return "".join(dict.fromkeys(c for c in text if c not in widths))


def text_box(text: Text) -> Box:
    """The box of a text's ink: capitals above the base line, descenders below."""
    w = text_width(text.text, text.em, text.face)
    left = text.x - (0 if text.anchor == "start" else w / 2 if text.anchor == "middle" else w)
    return left, text.y - CAPITAL * text.em * 1.09, left + w, text.y + DESCENT * text.em


#: Spaces at which no line breaks: they stay.
_HELD = str.maketrans("", "", "\u00a0\u202f")


def plain(text: str) -> str:
    """A text as one line without control and direction characters: what a sheet may letter.

    >>> plain("a\\u202eb\\nc")
    'ab c'
    """
    if text.translate(_HELD).isprintable():
        return _single(text) if "  " in text or text != text.strip(" ") else text
    return _single("".join(c for c in text if c.isprintable() or c in "\n\t\u00a0\u202f"))


def _single(out: str) -> str:
    return " ".join(w for w in out.replace("\n", " ").replace("\t", " ").split(" ") if w)


def shortened(text: str, em: float, width: float, face: Face = "sans") -> str:
    """The text, or as much of it as fits, with an ellipsis."""
    text = turned(text)
    if text_width(text, em, face) <= width:
        return text
    while text and text_width(text + "…", em, face) > width:
        text = text[:-1]
    return text.rstrip() + "…"


def wrapped(text: str, em: float, width: float, face: Face = "sans") -> tuple[str, ...]:
    """The text in lines no wider than `width`; no-break spaces hold, a word too long is cut, after a hyphen if it has one."""
    text = turned(text)
    if text and text[0] != " " and text_width(text, em, face) <= width:
        return (text,)
    lines: list[str] = []
    line = ""
    for word in text.split(" "):
        tried = f"{line} {word}" if line else word
        if text_width(tried, em, face) <= width:
            line = tried
            continue
        if line:
            lines.append(line)
        while text_width(word, em, face) > width and len(word) > 1:
            n = next(i for i in range(len(word), 0, -1) if i == 1 or text_width(word[:i], em, face) <= width)
            n = word.rfind("-", 1, n) + 1 or n
            lines.append(word[:n])
            word = word[n:]
        line = word
    if line:
        lines.append(line)
    return tuple(lines)
