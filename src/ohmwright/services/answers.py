"""The envelope of every JSON answer, and plain values for it."""

import math
from collections.abc import Callable, Mapping
from typing import Any

from ohmwright import __version__
from ohmwright.services.opening import Opened
from ohmwright.working import Absent, Figure, Given, NotThere, Step, Unknown


def envelope(opened: Opened | None = None) -> dict[str, Any]:
    """The keys that every answer has."""
    return {
        "schema": 1,
        "program": f"ohmwright {__version__}",
        "rig": opened.rig.job.id if opened else None,
        "revision": (opened.revision or None) if opened else None,
        "input_sha256": opened.rig.sha256 if opened else None,
    }


def finite(value: float | None) -> float | None:
    """A number for JSON; what is not finite is unknown."""
    return None if value is None or not math.isfinite(value) else value


def given(figure: Given) -> dict[str, Any]:
    """A figure, or the kind of not-knowing, for JSON."""
    if isinstance(figure, Figure):
        return {"known": "given", "value": finite(figure.value), "low": finite(figure.low), "high": finite(figure.high), "unit": figure.unit,
                "condition": figure.condition or None, "seconds": figure.seconds, "origin": str(figure.origin), "verified": figure.origin.verified}  # fmt: skip
    words: Mapping[type, str] = {Unknown: "unknown", NotThere: "none", Absent: "absent"}
    return {
        "known": words[type(figure)],
        "asked": figure.asked or None if isinstance(figure, Unknown) else None,
    }


def steps(
    chain: tuple[Step, ...], line_of: Callable[[str], int | None] = lambda _: None
) -> list[dict[str, Any]]:
    """Worked steps in order; an input that is an earlier step names it by its place in the list, one of the file its line there."""
    ordered: list[Step] = []
    for last in chain:
        for step in last.chain():
            if step not in ordered:
                ordered.append(step)
    return [
        {
            "symbol": s.symbol,
            "formula": s.formula,
            "substituted": s.substituted,
            "value": finite(s.value),
            "unit": s.unit,
            "clause": s.clause or None,
            "note": s.note or None,
            "inputs": [
                {
                    "symbol": i.symbol,
                    "value": finite(i.value),
                    "unit": i.unit,
                    "origin": str(i.origin),
                    "address": i.address or None,
                }
                | ({"step": ordered.index(i.step)} if i.step else {})
                | ({"line": line} if (line := line_of(i.address)) else {})
                for i in s.inputs
            ],
        }
        for s in ordered
    ]
