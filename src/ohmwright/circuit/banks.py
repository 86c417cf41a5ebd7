"""A battery as volts behind a resistance: at rest by its charge, in the cold, and at the adverse bounds of a fault."""

from bisect import bisect_right
from dataclasses import dataclass

from ohmwright.physics.bank import cold_resistance_factor, low_charge_resistance_factor
from ohmwright.physics.rest import LFP_CELL_V
from ohmwright.rig.model import Part, Rig
from ohmwright.working import Figure, known

#: Rest volts of a lead-acid cell by state of charge, 25 degC. Typical of the class: common practice, no source.
LEAD_CELL_V: tuple[tuple[float, float], ...] = (
    (0.0, 1.95),
    (0.2, 1.985),
    (0.5, 2.045),
    (0.8, 2.095),
    (1.0, 2.125),
)

#: Activation energy of a lithium iron phosphate cell's resistance, kJ/mol. Common practice, no source.
LFP_ACTIVATION_kJ_per_mol = 25.0
#: Resistance at 5 % charge over that at half. Common practice, no source.
LOW_CHARGE_factor = 2.0
#: Resistance times capacity over volts of a class battery, for a battery whose page gives none: ohm Ah / V.
CLASS_factor = 0.04
#: Share of the stated resistance that the greatest fault is reckoned with: the shop's adverse bound.
FAULT_LOW_factor = 0.7
#: Resistance of a cold or aged battery over the stated one, for the least fault. Common practice, no source.
FAULT_HIGH_factor = 2.0
NOMINAL_CELL_V = {"lfp": 3.2, "lead": 2.0}


@dataclass(frozen=True, slots=True)
class Cell:
    """A battery: `nominal_V`, stated `ohm` (None: not given) and what is missing to know it."""

    part: Part
    chemistry: str
    nominal_V: float | None
    cells: float | None
    ohm: float | None
    missing: tuple[str, ...] = ()


def cell_of(part: Part) -> Cell:
    """The electrical figures of a battery part."""
    chemistry = part.word("chemistry")
    family = "lfp" if chemistry == "lfp" else "lead" if chemistry not in ("", "unknown") else "unknown"
    nominal = known(part.figure("nominal_voltage"))
    count = known(part.figure("cell_count"))
    ohm = known(part.figure("resistance"))
    cells = (
        count.value
        if count
        else round(nominal.value / NOMINAL_CELL_V.get(family, 2.0))
        if nominal and family in NOMINAL_CELL_V
        else None
    )
    missing = () if ohm else (f"{part.id}.resistance",)
    return Cell(part, family, nominal.value if nominal else None, cells, ohm.value if ohm else None, missing)


def rest_V(cell: Cell, soc_ratio: float) -> float | None:
    """Open-circuit volts at a state of charge, by the class curve of its chemistry; None without cells or chemistry."""
    table = LFP_CELL_V if cell.chemistry == "lfp" else LEAD_CELL_V
    if cell.cells is None:
        return cell.nominal_V
    s = min(1.0, max(0.0, soc_ratio))
    i = min(max(bisect_right(table, (s, 1e9)), 1), len(table) - 1)
    (x0, y0), (x1, y1) = table[i - 1], table[i]
    return cell.cells * (y0 + (y1 - y0) * (s - x0) / (x1 - x0))


def working_ohm(cell: Cell, soc_ratio: float, bank_degC: float) -> tuple[float, bool]:
    """Resistance at work, and whether it is only the class's.

    Cold raises it, warmth is not credited; below 20 % of charge it rises too.
    """
    if cell.ohm is not None:
        ohm, of_class = cell.ohm, False
    else:
        capacity = known(cell.part.figure("capacity"))
        ohm, of_class = (
            CLASS_factor * (cell.nominal_V or 12.8) / (capacity.value if capacity else 100.0),
            True,
        )
    if cell.chemistry == "lfp":
        ohm *= cold_resistance_factor(min(bank_degC, 25.0), LFP_ACTIVATION_kJ_per_mol)
    return ohm * low_charge_resistance_factor(max(soc_ratio, 0.05), LOW_CHARGE_factor), of_class


def highest_V(rig: Rig, cell: Cell) -> float | None:
    """The highest voltage the battery is charged to: its page's charging voltage or what a charger is set to, the larger."""
    found = [f.value for name in ("charge_voltage",) if (f := known(cell.part.figure(name)))]
    for settings in rig.settings.values():
        for key in ("absorption", "equalise"):
            given = settings.get(key)
            if isinstance(given, Figure) and given.unit == "V" and _fits(cell, given.value):
                found.append(given.value)
    return max(found, default=None)


def _fits(cell: Cell, volts: float) -> bool:
    """A charger's setting belongs to a battery of about that voltage."""
    return cell.nominal_V is not None and 0.8 * cell.nominal_V < volts < 1.4 * cell.nominal_V


def fault_low_ohm(cell: Cell, highest: float) -> float | None:
    """Resistance for the greatest fault: 0.7 of the stated, or what the maker's short-circuit current says if lower."""
    options = []
    if cell.ohm is not None:
        low = known(cell.part.figure("resistance"))
        options.append(FAULT_LOW_factor * min(cell.ohm, low.low if low else cell.ohm))
    short = known(cell.part.figure("short_circuit_current"))
    if short:
        options.append(highest / short.high)
    return min(options, default=None)


def fault_high_ohm(cell: Cell) -> float | None:
    """Resistance for the least fault: the stated one, cold or aged."""
    if cell.ohm is None:
        return None
    given = known(cell.part.figure("resistance"))
    return FAULT_HIGH_factor * max(cell.ohm, given.high if given else cell.ohm)
