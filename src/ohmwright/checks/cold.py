"""Cold voltage of a string: which of coefficient and table governs, and the steps of both."""

from collections.abc import Sequence
from dataclasses import dataclass

from ohmwright.physics.strings import (
    cold_factor,
    cold_string_by_table_V,
    cold_string_by_volts_V,
    cold_string_V,
)
from ohmwright.physics.sums import sum_V
from ohmwright.working import Figure, Step, work

CRYSTALLINE = ("mono", "poly", "crystalline")


@dataclass(frozen=True, slots=True)
class Modules:
    """Equal modules in a string: how many, open-circuit volts, coefficient (%/K or V/K of the module), technology."""

    count: int
    open_circuit: Figure | None
    coefficient: Figure | None
    technology: str
    missing: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Cold:
    """Both answers for a string. `governs` is None when neither may be used; `missing` says why."""

    governs: Step | None
    by_coefficient: Step | None
    by_table: Step | None
    trusted: bool
    why_not: str = ""
    missing: tuple[str, ...] = ()


def has_page(figure: Figure) -> bool:
    """Read from a page: measured, published, from a named page of a source, or from a made-up sheet of a demo part."""
    return figure.origin.verified or figure.origin.kind == "invented" or bool(figure.origin.page)


def cold_voltage(string: Sequence[Modules], coldest: Figure | None, coldest_missing: tuple[str, ...]) -> Cold:
    """The cold voltage of a string of modules that may differ."""
    missing = [
        *(a for m in string for a in m.missing if m.open_circuit is None),
        *(coldest_missing if coldest is None else ()),
    ]
    if coldest is None or any(m.open_circuit is None for m in string) or not string:
        return Cold(
            None,
            None,
            None,
            False,
            "the lowest temperature or an open-circuit voltage is missing",
            tuple(dict.fromkeys(missing)),
        )
    coefficients = [m.coefficient for m in string]
    by_coefficient = _sum([_by_coefficient(m, coldest) for m in string])
    by_table = _sum([_by_table(m, coldest) for m in string])
    trusted = by_coefficient is not None and all(c is not None and has_page(c) for c in coefficients)
    lost = tuple(dict.fromkeys(a for m in string for a in m.missing if m.coefficient is None))
    if trusted:
        return Cold(by_coefficient, by_coefficient, by_table, True)
    if by_table is None:
        reason = (
            "the table ends at -40 °C"
            if all(m.technology in CRYSTALLINE for m in string)
            else "the table is for crystalline silicon only"
        )
        if by_coefficient is None:
            return Cold(None, None, None, False, f"the coefficient is missing and {reason}", lost)
        asked = tuple(dict.fromkeys(c.address for c in coefficients if c is not None and not has_page(c)))
        return Cold(None, by_coefficient, None, False, f"the coefficient has no page and {reason}", asked)
    if by_coefficient is None:
        return Cold(by_table, None, by_table, False, missing=lost)
    return Cold(max(by_coefficient, by_table, key=lambda s: s.value), by_coefficient, by_table, False)


def _by_coefficient(m: Modules, coldest: Figure) -> Step | None:
    if m.coefficient is None or m.open_circuit is None:
        return None
    if m.coefficient.unit == "V/K":
        return work(
            cold_string_by_volts_V,
            worst="high",
            in_series_count=m.count,
            open_circuit_V=m.open_circuit,
            coefficient_V_per_K=m.coefficient,
            coldest_degC=coldest,
        )
    return work(
        cold_string_V,
        worst="high",
        in_series_count=m.count,
        open_circuit_V=m.open_circuit,
        coefficient_percent_per_K=m.coefficient,
        coldest_degC=coldest,
    )


def _by_table(m: Modules, coldest: Figure) -> Step | None:
    factor = cold_factor(coldest.value)
    if factor is None or m.open_circuit is None or m.technology not in CRYSTALLINE:
        return None
    return work(
        cold_string_by_table_V,
        worst="high",
        clause=str(factor.clause),
        note="by table",
        in_series_count=m.count,
        open_circuit_V=m.open_circuit,
        table_factor=factor.figure,
    )


def _sum(steps: Sequence[Step | None]) -> Step | None:
    total: Step | None = None
    for s in steps:
        if s is None:
            return None
        total = s if total is None else work(sum_V, first_V=total, second_V=s)
    return total
