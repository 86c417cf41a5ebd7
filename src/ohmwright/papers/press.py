"""Set papers in type: a tree of blocks, or a drawing, becomes a PDF. The data goes in as data, never as markup."""

import hashlib
import json
import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from ohmwright.drawing.shapes import Sheet
from ohmwright.drawing.svg import svg_of
from ohmwright.papers.doc import Column, Doc, Table, shown, total_of, tree
from ohmwright.papers.stamp import Stamp
from ohmwright.working import OhmwrightError, packaged

FACES = ("Source Sans 3", "Source Serif 4")


@dataclass(frozen=True, slots=True)
class Press:
    """Where the faces lie, and the stamp that every file bears."""

    fonts_dir: str
    stamp: Stamp


def pdf_of(docs: Iterable[Doc | Sheet], press: Press, title: str, language: str = "en") -> bytes:
    """One PDF of papers, each on pages of its own; a drawing on a page of its size."""
    parts = tuple(docs)
    day = press.stamp.moment
    data = {
        "title": title,
        "id": press.stamp.id(title),
        "language": language,
        "year": day.year,
        "month": day.month,
        "day": day.day,
        "parts": [_part(d) for d in parts],
    }
    return _compile(packaged("ohmwright.papers", "paper.typ"), data, press)


def pdf_of_sheet(sheet: Sheet, press: Press) -> bytes:
    """A drawing as a page of its own size, one to one."""
    day = press.stamp.moment
    data = {
        "title": sheet.title,
        "id": press.stamp.id(sheet.name),
        "said": sheet.description,
        "svg": svg_of(sheet),
        "width": sheet.width,
        "height": sheet.height,
        "year": day.year,
        "month": day.month,
        "day": day.day,
    }
    return _compile(packaged("ohmwright.papers", "drawing.typ"), data, press)


def pages_of(pdf: bytes) -> int:
    """How many pages a PDF of this press has."""
    return len(re.findall(rb"/Type\s*/Page\b(?!s)", pdf))


def template_hash() -> str:
    """What the look of all papers depends on besides their words."""
    return hashlib.sha256(
        packaged("ohmwright.papers", "paper.typ") + packaged("ohmwright.papers", "drawing.typ")
    ).hexdigest()


@lru_cache(maxsize=4)
def _fonts(fonts_dir: str) -> Any:
    import typst

    fonts = typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=[fonts_dir])
    lacking = [f for f in FACES if f not in fonts.families()]
    if lacking:
        raise OhmwrightError(
            f"the face {lacking[0]} is not there to print with",
            remedy="run ./demo once, which puts the faces in their place",
        )
    return fonts


def _compile(template: bytes, data: dict[str, Any], press: Press) -> bytes:
    import typst

    try:
        pdf, warnings = typst.compile_with_warnings(
            template,
            font_paths=_fonts(press.fonts_dir),
            ignore_system_fonts=True,
            sys_inputs={"doc": json.dumps(data, ensure_ascii=False, sort_keys=True)},
            timestamp=press.stamp.seconds,
            pdf_standards=["a-2b"],
        )
    except typst.TypstError as error:
        raise RuntimeError(f"{data['title']}: {error.message} {error.diagnostic}") from error
    if warnings:
        raise RuntimeError(f"{data['title']}: " + "; ".join(w.message for w in warnings))
    return bytes(pdf)


def _part(doc: Doc | Sheet) -> dict[str, Any]:
    if isinstance(doc, Sheet):
        return {"svg": svg_of(doc), "said": doc.description, "width": doc.width, "height": doc.height}
    told: dict[str, Any] = tree(doc)
    told["blocks"] = [_table(b) if isinstance(b, Table) else tree(b) for b in doc.blocks]
    return told


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
