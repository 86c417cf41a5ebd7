"""A table for a machine: CSV and XLSX. Numbers stay numbers, sums are live, and no cell can become a formula."""

import csv
import io
import re
from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from ohmwright.papers.doc import Cell, Column, Head, Table, total_of
from ohmwright.papers.stamp import Stamp

_STARTS = ("=", "+", "-", "@", "\t", "\r", "|", "%")
_NUMBER = re.compile(r"[+-]?\d+(\.\d+)?\Z")


def harmless(text: str) -> str:
    """Text that no spreadsheet takes for a formula: an apostrophe before what could begin one.

    >>> harmless("=1+1"), harmless("-34"), harmless("W01.+")
    ("'=1+1", '-34', 'W01.+')
    """
    stripped = text.lstrip(" \t\r\n\ufeff")
    return f"'{text}" if stripped.startswith(_STARTS) and not _NUMBER.match(text) else text


def csv_of(tables: Iterable[Table], head: Head) -> bytes:
    """Tables as CSV (RFC 4180, UTF-8): the first line of each its titles, an unknown cell empty.

    The last column of every row repeats the state of the file the list was made from.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    for n, table in enumerate(tables):
        if n:
            writer.writerow([])
        writer.writerow([harmless(_titled(c)) for c in table.columns] + [harmless(head.names[6])])
        for row in table.rows:
            if len(row) == len(table.columns):
                writer.writerow([_plain(cell) for cell in row] + [head.sha256])
    return out.getvalue().encode("utf-8")


def _plain(cell: Cell) -> str:
    if cell is None:
        return ""
    return harmless(cell) if isinstance(cell, str) else str(cell)


def _titled(c: Column) -> str:
    return f"{c.title}, {c.unit}" if c.unit else c.title


def xlsx_of(tables: Iterable[tuple[str, Table]], head: Head, notes: Iterable[str], stamp: Stamp) -> bytes:
    """A workbook with a sheet for each named table; columns that are summed end in a SUM with its value kept beside it."""
    import xlsxwriter

    out = io.BytesIO()
    book = xlsxwriter.Workbook(
        out,
        {
            "in_memory": True,
            "strings_to_formulas": False,
            "strings_to_urls": False,
            "strings_to_numbers": False,
        },
    )
    book.set_properties(
        {
            "title": head.paper,
            "subject": head.job,
            "comments": f"{head.sha256} {head.revision}",
            "created": stamp.moment.replace(tzinfo=None),
        }
    )
    plain = book.add_format({"text_wrap": True, "valign": "top"})
    bold = book.add_format({"bold": True, "text_wrap": True, "valign": "top", "bottom": 1})
    strong = book.add_format({"bold": True})
    for name, table in tables:
        sheet = book.add_worksheet(name[:31])
        sheet.set_landscape()
        sheet.set_paper(9)
        sheet.fit_to_pages(1, 0)
        sheet.set_footer("&L" + _footer(head) + "&R&P / &N")
        sheet.write_string(0, 0, f"{head.job}  ·  {head.paper}", strong)
        sheet.write_string(
            1,
            0,
            "  ·  ".join(
                x for x in (head.revision, head.stage, head.rules, head.dated, head.sha256, head.program) if x
            ),
        )
        sheet.write_string(2, 0, head.deference)
        top = 4
        for i, c in enumerate(table.columns):
            sheet.write_string(top, i, _titled(c), bold)
        body = [row for row in table.rows if len(row) == len(table.columns)]
        for r, row in enumerate(body, top + 1):
            for i, cell in enumerate(row):
                _write(sheet, r, i, cell, plain, book, table.columns[i])
        last = top + len(body)
        if body and any(c.summed for c in table.columns):
            sheet.write_string(last + 1, 0, table.total, strong)
            for i, c in enumerate(table.columns):
                if c.summed:
                    _sum(sheet, top + 1, last, i, table, book)
        for i, c in enumerate(table.columns):
            sheet.set_column(i, i, _width(c, [row[i] for row in body]))
        sheet.freeze_panes(top + 1, 1)
        sheet.repeat_rows(top)
        for r, note in enumerate(notes, last + 3):
            sheet.write_string(r, 0, note)
    book.close()
    return out.getvalue()


def _footer(head: Head) -> str:
    return " · ".join(x.replace("&", "&&") for x in (head.job, head.paper, head.revision, head.sha256) if x)[
        :180
    ]


def _format(digits: int) -> str:
    return "General" if digits < 0 else "0" if digits == 0 else "0." + "0" * digits


def _write(sheet: Any, r: int, i: int, cell: Cell, plain: Any, book: Any, c: Column) -> None:
    if cell is None:
        sheet.write_string(r, i, c.unknown, plain)
    elif isinstance(cell, str):
        sheet.write_string(r, i, cell, plain)
    else:
        sheet.write_number(
            r, i, float(cell), book.add_format({"num_format": _format(c.digits), "valign": "top"})
        )


def _sum(sheet: Any, first: int, last: int, i: int, table: Table, book: Any) -> None:
    """A live sum of what is known; where a cell is not known the kept value is that of the known ones, and the notes say so."""
    from xlsxwriter.utility import xl_rowcol_to_cell

    cells = [row[i] for row in table.rows if len(row) == len(table.columns)]
    known = [float(x) for x in cells if isinstance(x, int | float | Decimal)]
    whole = total_of(table, i)
    value = float(whole) if isinstance(whole, int | float | Decimal) else sum(known)
    style = book.add_format({"bold": True, "top": 1, "num_format": _format(table.columns[i].digits)})
    sheet.write_formula(
        last + 1, i, f"=SUM({xl_rowcol_to_cell(first, i)}:{xl_rowcol_to_cell(last, i)})", style, value
    )


def _width(c: Column, cells: list[Cell]) -> float:
    longest = max([len(_titled(c)) * 0.8, *(len(_plain(x)) for x in cells)], default=8.0)
    return float(min(max(longest + 2, 6), 60))
