"""Ruled tables on sheets: columns of wrapped words, heads repeated on every sheet."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from ohmwright.drawing.lettering import plain, wrapped
from ohmwright.drawing.page import EM, ENLARGED, STEP, Page
from ohmwright.drawing.shapes import THIN, Face


@dataclass(frozen=True, slots=True)
class Column:
    """A head and its part of the width."""

    head: str
    share: float


@dataclass(frozen=True, slots=True)
class Row:
    """Cells, each a list of lines; `ref` is what the row is about."""

    cells: tuple[tuple[str, ...], ...]
    ref: str = ""


def _face(column: int) -> Face:
    """The first column names what its row is about."""
    return "sans-semibold" if column == 0 else "sans"


def draw_rows(
    page: Page, columns: Sequence[Column], rows: Sequence[Row], top: float, width: float
) -> tuple[float, int]:
    """Draw as many rows as the sheet holds; returns the lower edge and how many were drawn."""
    c = page.canvas
    left, _, _, bottom = page.drawing
    whole = sum(col.share for col in columns)
    wide = [width * col.share / whole for col in columns]
    xs = [left + sum(wide[:i]) for i in range(len(columns))]
    y = top
    c.line("", left, y, left + width, y, 0.35)
    heads = [wrapped(col.head, EM, w - 2.4, "sans-bold") for col, w in zip(columns, wide, strict=True)]
    for x, head in zip(xs, heads, strict=True):
        for k, line in enumerate(head):
            c.text("", x + 1.2, y + STEP * (k + 1), line, EM, "sans-bold")
    y += STEP * (max(len(head) for head in heads) + 0.5)
    c.line("", left, y, left + width, y, 0.35)
    drawn = 0
    for row in rows:
        lines = [
            [piece for line in cell for piece in wrapped(plain(line), EM, w - 2.4, _face(i))]
            for i, (cell, w) in enumerate(zip(row.cells, wide, strict=True))
        ]
        height = max(1, *(len(col) for col in lines)) * STEP + STEP * 0.6
        if y + height > bottom and drawn:
            break
        for i, (x, cell) in enumerate(zip(xs, lines, strict=True)):
            for k, line in enumerate(cell):
                c.text(row.ref, x + 1.2, y + STEP * (k + 1), line, EM, _face(i))
        c.anchor(row.ref, (left, y + STEP, "right"))
        y += height
        c.line("", left, y, left + width, y, THIN)
        drawn += 1
    for x in (*xs, left + width):
        c.line("", x, top, x, y, THIN)
    return y, drawn


def table_pages(
    size: str,
    columns: Sequence[Column],
    rows: Sequence[Row],
    prepare: Callable[[Page], float] | None = None,
    enlarged: float = 1.0,
) -> list[Page]:
    """A table on as many sheets as it takes. `prepare` writes above it and returns where it begins."""
    pages: list[Page] = []
    waiting = list(rows)
    while waiting or not pages:
        page = Page(size, enlarged=enlarged)
        left, top, right, _ = page.drawing
        start = prepare(page) if prepare is not None and not pages else top
        _, drawn = draw_rows(page, columns, waiting, start, right - left)
        waiting = waiting[drawn:]
        pages.append(page)
        if not drawn:
            break
    return pages


def fitted_pages(
    sizes: Sequence[str],
    columns: Sequence[Column],
    rows: Sequence[Row],
    finish: Callable[[Sequence[Page]], bool],
) -> list[Page]:
    """A table on the smallest sheet that holds it, as large as it stands there whole; else on several of the middle one.

    `finish` writes the notes beside it and says whether they find room.
    """
    for size in sizes[:2]:
        pages = table_pages(size, columns, rows)
        if finish(pages) and len(pages) == 1:
            for enlarged in ENLARGED[1:-1]:
                larger = table_pages(size, columns, rows, None, enlarged)
                if len(larger) == 1 and not _cut(larger[0]):
                    finish(larger)
                    return larger
            return pages
    return pages


def _cut(page: Page) -> bool:
    """Whether something stands below the space for the drawing."""
    return page.canvas.bounds()[3] > page.drawing[3] + 0.01
