"""The trade-off scale: nights lost against the sizes in which the rig's own array and bank can grow."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

WIDE = 640.0


@dataclass(frozen=True, slots=True)
class Tick:
    """A size on a scale."""

    x: float
    array_W: float
    modules: int
    usual: float
    one_in_ten: float
    error: float
    is_now: bool


@dataclass(frozen=True, slots=True)
class Ruled:
    """One scale: a size of the bank, with the sizes of the array as ticks."""

    bank_Ah: float
    batteries: int
    ticks: tuple[Tick, ...]


@dataclass(frozen=True, slots=True)
class Scale:
    """All scales of a rig over the same ruled line."""

    array: str
    bank: str
    years: int
    words: str
    ruled: tuple[Ruled, ...]
    wide: float = WIDE


def scale_of(told: object) -> Scale | None:
    """The scales from what the year tells of sizes; None where it tells nothing of them."""
    if not isinstance(told, Mapping) or not told.get("rows"):
        return None
    rows: list[dict[str, Any]] = list(told["rows"])
    least, most = (of(r["array_W"] for r in rows) for of in (min, max))
    banks = sorted({(r["bank_Ah"], r["batteries"]) for r in rows})
    ruled = tuple(
        Ruled(
            ah,
            count,
            tuple(
                _tick(r, least, most)
                for r in sorted(rows, key=lambda r: float(r["array_W"]))
                if r["bank_Ah"] == ah
            ),
        )
        for ah, count in banks
    )
    words = told.get("words", "")
    said = " ".join(words) if isinstance(words, list | tuple) else str(words)
    return Scale(str(told["array"]), str(told["bank"]), int(told["years"]), said, ruled)


def _tick(row: dict[str, Any], least: float, most: float) -> Tick:
    x = WIDE * (row["array_W"] - least) / (most - least) if most > least else WIDE / 2
    return Tick(
        x, row["array_W"], row["modules"], row["nights_usual"], row["nights_one_in_ten"], row["nights_error"], row["is_now"]
    )  # fmt: skip
