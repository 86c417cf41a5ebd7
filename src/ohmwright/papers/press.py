"""Set papers in type: a tree of blocks, or a drawing, becomes a PDF. The data goes in as data, never as markup."""

import hashlib
import json
import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from typing import Any

from ohmwright.drawing.qr import qr
from ohmwright.drawing.shapes import Group, Sheet
from ohmwright.drawing.svg import svg_of
from ohmwright.papers.doc import Block, Chart, Code, Column, Doc, Table, shown, total_of, tree
from ohmwright.papers.stamp import Stamp
from ohmwright.working import OhmwrightError, packaged

FACES = ("Source Sans 3", "Source Serif 4")
TEMPLATE = "paper.typ"
#: The entry says what is so without it (ISO 32000-1, 2008, table 321), and a widely used reader takes `false` for a mistake
#: and says so at every file: spaces take its place, so that no offset of the file moves.
MARKED = b"/MarkInfo<</Marked true/Suspects false>>"
UNSUSPECTED = b"/MarkInfo<</Marked true               >>"


@dataclass(frozen=True, slots=True)
class Press:
    """Where the faces lie, and the stamp that every file bears."""

    fonts_dir: str
    stamp: Stamp


class Part:
    """A paper or a drawing as the typesetter takes it, written out once for its own file and the binder."""

    def __init__(self, of: Doc | Sheet) -> None:
        self._of = of

    @cached_property
    def data(self) -> dict[str, Any]:
        """The part in plain maps and lists."""
        return _part(self._of)


def pdf_of(parts: Iterable[Doc | Sheet | Part], press: Press, title: str, language: str = "en") -> bytes:
    """One PDF of papers, each on pages of its own; a drawing on a page of its size."""
    return _pdf(parts, press, title, title, language)


def pdf_of_sheet(sheet: Sheet, press: Press, language: str = "en", part: Part | None = None) -> bytes:
    """A drawing as a page of its own size, one to one; `part` where it is written out already."""
    return _pdf((part or sheet,), press, sheet.title, sheet.name, language)


def _pdf(parts: Iterable[Doc | Sheet | Part], press: Press, title: str, named: str, language: str) -> bytes:
    day = press.stamp.moment
    data = {
        "title": title,
        "id": press.stamp.id(named),
        "language": language,
        "year": day.year,
        "month": day.month,
        "day": day.day,
        "parts": [p.data if isinstance(p, Part) else _part(p) for p in parts],
    }
    return _compile(data, press)


def pages_of(pdf: bytes) -> int:
    """How many pages a PDF of this press has."""
    return len(re.findall(rb"/Type\s*/Page\b(?!s)", pdf))


@lru_cache(maxsize=1)
def template_hash() -> str:
    """What the look of all papers depends on besides their words."""
    return hashlib.sha256(packaged("ohmwright.papers", TEMPLATE)).hexdigest()


#: Typesetters at rest, by the folder of their faces. Each keeps what it has set: what did not change is not set twice.
_AT_REST: dict[str, list[Any]] = {}


def _compiler(fonts_dir: str) -> Any:
    """A typesetter with the template."""
    import typst

    fonts = typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=[fonts_dir])
    lacking = [f for f in FACES if f not in fonts.families()]
    if lacking:
        raise OhmwrightError(
            f"the face {lacking[0]} is not there to print with",
            remedy="run ./demo once, which puts the faces in their place",
        )
    beside = fonts_dir.rstrip("/").rpartition("/")[0]
    return typst.Compiler(f"{beside}/{TEMPLATE}", root=beside, font_paths=fonts, ignore_system_fonts=True)


def _compile(data: dict[str, Any], press: Press) -> bytes:
    import typst

    at_rest = _AT_REST.setdefault(press.fonts_dir, [])
    try:
        compiler = at_rest.pop()
    except IndexError:
        compiler = _compiler(press.fonts_dir)
    try:
        pdf, warnings = compiler.compile_with_warnings(
            input=f'#import "{TEMPLATE}": press\n#press(json(bytes({_quoted(data)})))\n'.encode("ascii"),
            format="pdf",
            timestamp=press.stamp.seconds,
            pdf_standards=["a-2b"],
        )
    except typst.TypstError as error:
        raise RuntimeError(f"{data['title']}: {error.message} {error.diagnostic}") from error
    finally:
        at_rest.append(compiler)
    if warnings:
        raise RuntimeError(f"{data['title']}: " + "; ".join(w.message for w in warnings))
    return bytes(pdf).replace(MARKED, UNSUSPECTED)


def _quoted(data: dict[str, Any]) -> str:
    """The data as one string of the typesetter: ASCII without control characters, both of its own signs escaped."""
    told = json.dumps(data, ensure_ascii=True, sort_keys=True)
    return '"' + told.replace("\\", "\\\\").replace('"', '\\"') + '"'


def _part(doc: Doc | Sheet) -> dict[str, Any]:
    if isinstance(doc, Sheet):
        return {"svg": svg_of(doc), "said": doc.description, "width": doc.width, "height": doc.height}
    told: dict[str, Any] = tree(doc)
    told["blocks"] = [_block(b) for b in doc.blocks]
    return told


def _block(block: Block) -> Any:
    match block:
        case Table():
            return _table(block)
        case Code():
            ink = Group("", "", qr(block.text, block.size_mm))
            sheet = Sheet("code", block.text, block.caption, block.size_mm, block.size_mm, (ink,))
            return tree(block) | {"svg": svg_of(sheet)}
        case Chart():
            return tree(replace(block, svg="")) | {"svg": block.svg}
        case _:
            return tree(block)


def _table(table: Table) -> dict[str, Any]:
    """A table with its cells as they are printed, numbers to the right."""
    columns = table.columns
    body = [row for row in table.rows if len(row) == len(columns)]
    rows = [[shown(cell, c) for cell, c in zip(row, columns, strict=len(row) != 1)] for row in table.rows]
    totals = []
    if any(c.summed for c in columns):
        totals = [shown(total_of(table, i), c) if c.summed else "" for i, c in enumerate(columns)]
        totals[0] = totals[0] or table.total
    return {
        "is": "Table",
        "title": table.title,
        "size": table.size,
        "ruled": table.ruled,
        "pairs": table.pairs,
        "shared": [table.pairs and all(row[i] == "" for row in body[1::2]) for i in range(len(columns))],
        "columns": [
            {"title": _titled(c), "part": c.part, "right": _is_number(body, i)} for i, c in enumerate(columns)
        ],
        "rows": rows,
        "totals": totals,
    }


def _titled(c: Column) -> str:
    return f"{c.title}, {c.unit}" if c.unit else c.title


def _is_number(rows: list[tuple[Any, ...]], index: int) -> bool:
    return any(not isinstance(row[index], str) and row[index] is not None for row in rows)
