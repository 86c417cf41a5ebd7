"""Quantities of the file: read with the place of a mistake, and told as JSON Schema."""

import re
from dataclasses import dataclass, field
from typing import Any

from ohmwright.rig.telling import BARE, refuse, short
from ohmwright.working import DIMENSIONS, UNITS, Figure, Given, Position, QuantityError, parse
from ohmwright.working import tree as t

Schema = dict[str, Any]


@dataclass(slots=True)
class Reading:
    """What is gathered while a file is read: origin tags with their places."""

    tags: list[tuple[str, Position]] = field(default_factory=list)


def quantity(
    s: t.Scalar,
    text: str,
    units: tuple[str, ...],
    reading: Reading,
    least: float | None = None,
    most: float | None = None,
) -> Given:
    """The figure that `text` says in one of `units`; the mistake is told at `s`."""
    try:
        if len(units) == 1:
            given = parse(text, units[0])
        else:
            given = parse(text)
            if isinstance(given, Figure) and given.unit not in units:
                raise QuantityError(
                    f"'{text}' is in {given.unit}, wanted is {' or '.join(units)}",
                    f"write it in {' or '.join(units)}",
                )
    except QuantityError as error:
        refuse(s.at, bare_message(text, error.message), error.remedy, text)
    if isinstance(given, Figure):
        note_tag(given, s, reading)
        check_range(given, s, text, least, most)
    return given


def check_range(given: Figure, s: t.Scalar, text: str, least: float | None, most: float | None) -> None:
    """Refuse a figure below `least` or above `most`."""
    if least is not None and given.value < least:
        refuse(s.at, f"'{short(text)}' is less than {least:g}", f"write {least:g} or more", text)
    if most is not None and given.value > most:
        refuse(s.at, f"'{short(text)}' is more than {most:g}", f"write {most:g} or less", text)


def bare_message(text: str, message: str) -> str:
    """What is said of a text that is no quantity."""
    if text.strip().lower() in BARE:
        return f"'{text.strip()}' stands where a quantity is wanted"
    return short(message) if len(message) > 120 else " ".join(message.split())


def note_tag(given: Figure, s: t.Scalar, reading: Reading) -> None:
    """Remember the origin's tag: it must stand in the file's table of sources."""
    if given.origin.tag:
        reading.tags.append((given.origin.tag, s.at))


def quantity_pattern(*bases: str) -> str:
    """The pattern of a quantity in any unit of these base units, without anchors."""
    symbols = sorted(
        {u.symbol for u in UNITS.values() if DIMENSIONS[u.dimension].base in bases},
        key=lambda s: (-len(s), s),
    )
    unit = "(?:" + "|".join(re.escape(s).replace("\\ ", " ") for s in symbols) + ")" if symbols else ""
    if "1" in bases or not bases:
        unit = f"{unit}?" if unit else ""
    n = r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)"
    return rf"(?:unknown(?: \(asked \d{{4}}-\d{{2}}-\d{{2}}\))?|none|{n} ?{unit}(?: ?(?:\+-|±) ?{n} ?\S*)?(?: ?@ ?[^()]+?)?(?: for {n} ?(?:ms|s|min|h))?(?: ?\([^()]*\))?)"


def quantity_schema(*bases: str) -> Schema:
    """JSON Schema of a quantity; a plain ratio may be a number."""
    out: Schema = {"type": "string", "pattern": f"^{quantity_pattern(*bases)}$", "unit": " | ".join(bases)}
    return {"anyOf": [{"type": "number"}, out]} if "1" in bases else out
