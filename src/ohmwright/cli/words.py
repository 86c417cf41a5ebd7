"""Tables and sentences for a terminal: plain text, no colour."""

import shutil
import textwrap
from collections.abc import Iterable, Sequence

import click

from ohmwright.services.words import CAUTION


def say(*lines: str) -> None:
    """Print sentences, wrapped to the terminal."""
    width = min(110, max(60, shutil.get_terminal_size((100, 24)).columns))
    for line in lines:
        hung = "    " if line.startswith("  - ") else ""
        click.echo(textwrap.fill(line, width, subsequent_indent=hung) if line else "")


def entry(head: str, *body: str) -> None:
    """A heading line with wrapped, indented sentences under it."""
    width = min(110, max(60, shutil.get_terminal_size((100, 24)).columns))
    click.echo(head)
    for text in body:
        if text:
            click.echo(textwrap.fill(text, width, initial_indent="    ", subsequent_indent="    "))


def table(head: Sequence[str], rows: Iterable[Sequence[str]], *, right: str = "") -> None:
    """A table; columns whose place in `right` holds an r stand right."""
    rows = [list(r) for r in rows]
    widths = [max(len(str(r[i])) for r in [list(head), *rows]) for i in range(len(head))]
    for n, row in enumerate([list(head), *rows]):
        cells = [
            str(c).rjust(w) if right[i : i + 1] == "r" else str(c).ljust(w)
            for i, (c, w) in enumerate(zip(row, widths, strict=True))
        ]
        click.echo("  ".join(cells).rstrip())
        if n == 0:
            click.echo("  ".join("-" * w for w in widths))


def figure(value: float | None, digits: int = 3) -> str:
    """A number for a table; an unknown one is a question mark."""
    if value is None:
        return "?"
    shown = f"{value:.{digits}g}"
    return f"{value:.0f}" if "e" in shown and abs(value) >= 1 else shown


__all__ = ["CAUTION", "entry", "figure", "say", "table"]
