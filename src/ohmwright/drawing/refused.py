"""Sheets whose ink does not say what the file says."""

from dataclasses import replace

from ohmwright.drawing.frame import room
from ohmwright.drawing.lettering import plain
from ohmwright.drawing.shapes import Group, Sheet, Text


def refused(sheets: tuple[Sheet, ...], found: list[str]) -> tuple[Sheet, ...]:
    """The sheets say it themselves, in large letters."""
    x, y, _, _ = room("A3").drawing
    words = [f"NOT FOR ISSUE: ink and file disagree in {len(found)} places", *found[:5]]
    lines = tuple(
        Text(x, y + 4.0 + 5.0 * k, plain(w), 4.0, "sans-bold", "start", "red") for k, w in enumerate(words)
    )
    return tuple(
        replace(s, groups=(*s.groups, Group("", "not for issue", lines)), notes=(*s.notes, *found))
        for s in sheets
    )
