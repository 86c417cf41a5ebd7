"""What a conductor may carry under a rule set, and the table that says so."""

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from ohmwright.checks.sets import country, host
from ohmwright.physics.ampacity import ambient_factor, ampacity_A, device_ceiling_A
from ohmwright.standards import Clause, find, table
from ohmwright.standards.wire import awg_row
from ohmwright.working import Figure, Step, tell, work
from ohmwright.working.quickly import quickly_made

Bound = Literal["least", "most"]
PVC_degC = 70.0
#: Air that the tables are made for.
AIR_degC = 30.0


@quickly_made
@dataclass(frozen=True, slots=True)
class Wire:
    """A conductor as rules see it. `insulation_degC` None: its class is not known, `asks` is where to write it."""

    area_mm2: float
    insulation_degC: float | None
    material: str = "copper"
    alternating: bool = False
    engine: bool = False
    ambient: Figure | None = None
    asks: str = ""
    sold_for_pv: bool = False
    beside_count: int = 0
    """Loaded conductors of alternating current on the fullest way of its route, itself included; 0 where it has none."""


@quickly_made
@dataclass(frozen=True, slots=True)
class Carries:
    """Ampacity with the table's name in words; `ceiling` is the largest device the set allows above it."""

    ampacity: Step
    ceiling: Step
    told: str
    clause: Clause
    ceiling_told: str = ""


def uses_table_5(rules: str, *, alternating: bool) -> bool:
    """Table 5 of 33 CFR 183 for direct current on hosts that move, and in eu cabins, as law or as the shop's own rule."""
    return not alternating and not (host(rules) == "cabin" and country(rules) == "us")


@lru_cache(maxsize=1024)
def carries(wire: Wire, rules: str, bound: Bound, *, terminal_degC: float | None = None) -> Carries | None:
    """The ampacity where it lies; with an unknown class the least or the most that any class gives. None: no row."""
    if uses_table_5(rules, alternating=wire.alternating):
        return _table_5(wire, rules, bound)
    return _nec(wire, rules, bound, terminal_degC) if country(rules) == "us" else _iec(wire)


def _iec(wire: Wire) -> Carries | None:
    """Alternating current in eu rules: the least favourable laying, PVC, whatever the insulation."""
    listed = table("iec60364-5-52-b2")
    row = next((r for r in reversed(tuple(listed.rows)) if float(r) <= wire.area_mm2 * (1 + 1e-3)), None)
    cell = listed.cell(row, "two") if row else None
    if cell is None or (wire.ambient is not None and wire.ambient.value >= PVC_degC):
        return None
    factor: Step | float = 1.0
    if wire.ambient is not None:
        factor = work(
            ambient_factor, insulation_degC=PVC_degC, ambient_degC=wire.ambient, reference_degC=30.0
        )
    count, lies = _crowd("iec60364-5-52-b17", (wire.beside_count + 1) // 2, "circuits together")
    step = work(
        ampacity_A, listed_A=cell.figure, ambient_ratio=factor, count_ratio=count, clause=str(cell.clause)
    )
    ceiling = work(device_ceiling_A, allowed_factor=1.0, ampacity_A=step)
    return Carries(step, ceiling, f"IEC 60364-5-52 Table B.52.2 B2 from memory, {row} mm²{lies}", cell.clause)


def _crowd(page: str, count: int, what: str) -> tuple[Figure | float, str]:
    """The factor for so many that lie together, and how it is told; 1 where nothing lies beside it."""
    listed = table(page)
    row = listed.least_row(count) if count > 1 else None
    cell = listed.cell(row, "factor") if row else None
    return (1.0, "") if cell is None or cell.value == 1.0 else (cell.figure, f", {count} {what}")


def _column(columns: tuple[str, ...], insulation_degC: float | None, bound: Bound) -> str:
    if insulation_degC is None:
        return columns[0] if bound == "least" else columns[-1]
    at_most = [c for c in columns if float(c) <= insulation_degC]
    return at_most[-1] if at_most else columns[0]


def _table_5(wire: Wire, rules: str, bound: Bound) -> Carries | None:
    t5 = table("cfr33-183.425-t5")
    row = awg_row(wire.area_mm2, t5)
    column = _column(("60", "75", "80", "90", "105"), wire.insulation_degC, bound)
    cell = t5.cell(row, column) if row else None
    if cell is None:
        return None
    law = rules == "us-boat"
    factor: Figure | Step | float = (
        find(f"cfr33-183.425-engine/{column}/factor").figure if wire.engine else 1.0
    )
    hot = ""
    if not law and wire.ambient is not None and wire.ambient.value > AIR_degC:
        if wire.ambient.value >= float(column):
            return None
        in_air = work(ambient_factor, insulation_degC=float(column), ambient_degC=wire.ambient, reference_degC=AIR_degC)  # fmt: skip
        # An engine space has its own factor: the air counts where it is hotter than that was made for.
        if in_air.value < (factor if isinstance(factor, float) else factor.value):
            factor, hot = in_air, f" in air of {tell(wire.ambient.value, 'degC')}"
    step = work(
        ampacity_A, listed_A=cell.figure, ambient_ratio=factor, count_ratio=1.0, clause=str(cell.clause)
    )
    allowed: Figure | float = find("protection/boat-ceiling").figure if law else 1.0
    ceiling = work(
        device_ceiling_A,
        allowed_factor=allowed,
        ampacity_A=step,
        clause=str(find("protection/boat-ceiling").clause) if law else "",
    )
    where = "inside an engine space" if wire.engine else "outside engine spaces"
    how = "" if law else ", used here as the shop's own rule"
    return Carries(
        step, ceiling, f"33 CFR 183 Table 5, row {row} AWG, {column} °C, {where}{hot}{how}", cell.clause
    )


def _nec(wire: Wire, rules: str, bound: Bound, terminal_degC: float | None) -> Carries | None:
    listed = table("nec-310.16-copper")
    row = awg_row(wire.area_mm2, listed)
    if row is None:
        return None
    class_degC = wire.insulation_degC
    if terminal_degC is not None and (class_degC is None or class_degC > terminal_degC):
        class_degC = terminal_degC
    column = _column(listed.columns, class_degC, bound)
    while column in ("60", "75") and listed.value(row, column) is None:
        column = "90"
    cell = listed.cell(row, column)
    if cell is None:
        return None
    factor: Figure | float = 1.0
    if wire.ambient is not None:
        hot = table("nec-310.15-ambient")
        at = hot.least_row(wire.ambient.value)
        correction = hot.cell(at, column) if at else None
        if correction is None:
            return None
        factor = correction.figure
    page = "cfr33-183.435-bundle" if rules == "us-boat" else "nec-310.15-count"
    count, lies = _crowd(
        page, wire.beside_count if wire.beside_count >= 3 else 0, "loaded conductors together"
    )
    step = work(
        ampacity_A, listed_A=cell.figure, ambient_ratio=factor, count_ratio=count, clause=str(cell.clause)
    )
    ceiling, extra = _next_size(step, row)
    how = "" if rules == "us-cabin" else ", used here as the shop's own rule"
    return Carries(
        step, ceiling, f"NFPA 70 Table 310.16, row {row}, {column} °C{lies}{how}", cell.clause, extra
    )


def _next_size(ampacity: Step, row: str) -> tuple[Step, str]:
    """240.4(B) and (D): the next standard size up, but never above the cap of a small conductor."""
    sizes = sorted(float(r) for r in table("nec-240.6").rows)
    up = next((s for s in sizes if s >= ampacity.value * (1 - 1e-9)), ampacity.value)
    allowed = up if ampacity.value <= find("protection/next-size-up-to").value else ampacity.value
    cap = table("nec-240.4-small").cell(row, "device")
    told = ""
    if cap is not None and cap.value < allowed:
        return work(
            device_ceiling_A,
            allowed_factor=1.0,
            ampacity_A=cap.figure,
            clause=str(cap.clause),
            note="cap of a small conductor",
        ), ", capped by 240.4(D)"
    if allowed > ampacity.value * (1 + 1e-9):
        size = find(f"nec-240.6/{allowed:g}/rating")
        return work(
            device_ceiling_A,
            allowed_factor=1.0,
            ampacity_A=size.figure,
            clause="NFPA 70 (2023) 240.4(B)",
            note="next standard size up",
        ), ", next standard size up"
    return work(device_ceiling_A, allowed_factor=1.0, ampacity_A=ampacity), told


def pv_ampacity(
    wire: Wire, rules: str, ambient: Figure | None, terminal_degC: float | None
) -> Carries | None:
    """Ampacity of an array cable by NFPA 70 Table 310.16; PV wire without a class counts as 90 °C."""
    own = (
        wire.insulation_degC
        if wire.insulation_degC is not None
        else (find("pv/cable-class").value if wire.sold_for_pv else None)
    )
    laid = Wire(
        wire.area_mm2,
        own,
        wire.material,
        ambient=ambient if ambient is not None and ambient.value > 30 else None,
        asks=wire.asks,
    )
    return _nec(laid, rules, "least", terminal_degC)
