"""Letters that the faces of the papers do not have: a mark stands in their place, and the paper says so.

A name may be in any script.  An empty box would look like a fault of the printer; a letter from some other face would
change with the machine.
"""

import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import fields, is_dataclass, replace
from functools import lru_cache
from typing import Any, TypeVar

from ohmwright.drawing.shapes import Group, Sheet
from ohmwright.drawing.shapes import Text as Lettering
from ohmwright.papers.catalogue import Words
from ohmwright.papers.doc import Doc, Text
from ohmwright.working import packaged

MARK = "◊"
#: So many letters are named on the paper by their code points, the others are counted.
MOST_NAMED = 8
T = TypeVar("T")


@lru_cache(maxsize=1)
def known() -> frozenset[str]:
    """Every letter that all faces and weights have."""
    out: set[str] = set()
    for line in packaged("ohmwright.papers", "letters.txt").decode("ascii").splitlines():
        if not line.startswith("#"):
            first, _, last = line.partition("-")
            out |= {chr(n) for n in range(int(first, 16), int(last or first, 16) + 1)}
    return frozenset(out)


def spelt(doc: Doc, words: Words) -> Doc:
    """The paper as its faces can print it, with a note first where a letter is missing."""
    lacking = _lacking(_texts(doc))
    if not lacking:
        return doc
    told = _respelt(doc)
    return replace(told, blocks=(Text(_note(lacking, words), "note"), *told.blocks))


def spelt_sheet(sheet: Sheet, words: Words) -> Sheet:
    """The same for a drawing; its note stands at the foot, inside the frame."""
    lacking = _lacking(s.text for g in sheet.groups for s in g.shapes if isinstance(s, Lettering))
    if not lacking:
        return sheet
    groups = tuple(
        replace(g, shapes=tuple(_respelt(s) if isinstance(s, Lettering) else s for s in g.shapes))
        for g in sheet.groups
    )
    note = Lettering(23.0, sheet.height - 17.0, _note(lacking, words), 2.5, layer="note")
    return replace(sheet, groups=(*groups, Group("", "", (note,))))


def _note(lacking: frozenset[str], words: Words) -> str:
    codes = [f"U+{ord(c):04X}" for c in sorted(lacking)]
    named, more = ", ".join(codes[:MOST_NAMED]), len(codes) - MOST_NAMED
    key = "letters.missing-more" if more > 0 else "letters.missing"
    return (
        words.say(key, mark=MARK, codes=named, n=more) if more > 0 else words.say(key, mark=MARK, codes=named)
    )


def _lacking(texts: Iterable[str]) -> frozenset[str]:
    there = {c for text in texts if not text.isascii() for c in unicodedata.normalize("NFC", text)}
    return frozenset(c for c in there - known() if c.isprintable())


def _texts(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, tuple):
        for v in value:
            if not isinstance(v, str):
                yield from _texts(v)
            elif not v.isascii():
                yield v
    elif is_dataclass(value):
        for f in fields(value):
            yield from _texts(getattr(value, f.name))


def _respelt(value: T) -> T:
    """The same tree with a mark for every letter that the faces lack."""
    out: Any = value
    if isinstance(value, str):
        out = _marked(value)
    elif isinstance(value, tuple):
        out = tuple(_respelt(v) for v in value)
    elif is_dataclass(value) and not isinstance(value, type):
        out = replace(value, **{f.name: _respelt(getattr(value, f.name)) for f in fields(value)})
    return out  # type: ignore[no-any-return]


def _marked(text: str) -> str:
    if text.isascii():
        return text
    faces = known()
    told = unicodedata.normalize("NFC", text)
    return "".join(c if c in faces or not c.isprintable() else MARK for c in told)
